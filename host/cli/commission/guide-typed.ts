// What the guide of commissioning makes of what a person types: a choice, initials, a tank, litres,
// a yes, a value, a fill to strike. Bad input is told with what is allowed, and asked again. Pure.

import { stepRows } from "../../../firmware/commission/step-rows.ts";
import { INITIALS_MAX, WHY_MAX } from "../../../firmware/commission/steps.ts";
import { rangeWords } from "../../report/commission-steps.ts";
import { entryOf, mayBeOutside, readEntry } from "./entry.ts";
import type { GuideState, Turn } from "./guide-state.ts";
import {
	and,
	askOrder,
	beginStep,
	CAN_LITRES_MAX,
	litresNow,
	nextEntry,
	offerNext,
	quit,
	turn,
} from "./guide-turns.ts";
import { bad, plain } from "./guide-words.ts";

export function typed(state: GuideState, text: string): Turn {
	if (text === "q") return quit(state);
	if (state.sent !== null || state.isLost) return turn(state);
	const strike = strikeOf(state, text);
	if (strike !== null) return strike;
	switch (state.phase) {
		case "initials":
			return initials(state, text);
		case "offer":
			return offered(state, text);
		case "after":
			return after(state, text);
		case "order":
			return ordered(state, text.toLowerCase());
		case "tank":
			return state.tanks.includes(text)
				? askOrder({ ...state, tank: text }, [])
				: turn(state, [bad(`found "${text}"; allowed: ${state.tanks.join(", ")}`)]);
		case "can": {
			const litres = Number(text.replace(",", "."));
			return litres >= 1 && litres <= CAN_LITRES_MAX
				? askOrder({ ...state, canLitres: litres }, [])
				: turn(state, [bad(`found "${text}"; allowed: 1 to ${CAN_LITRES_MAX}`)]);
		}
		case "entries":
			return entered(state, text);
		default:
			return turn(state);
	}
}

/** Null where nothing is to be struck. */
function strikeOf(state: GuideState, text: string): Turn | null {
	const { step, phase } = state;
	const isFills = step !== null && stepRows[step].goes.kind === "fills";
	if (!isFills || !/^strike\b/.test(text) || phase === "entries") return null;
	const [, number, why = ""] = /^strike\s+(\d+)\s+(\S.*)$/.exec(text) ?? [];
	if (number === undefined) {
		return turn(state, [bad("allowed: strike NUMBER REASON, such as strike 41 spilled some")]);
	}
	return turn(state, [], { type: "strike", fillSeq: Number(number), why: why.slice(0, WHY_MAX) });
}

function initials(state: GuideState, text: string): Turn {
	if (text.length < 1 || text.length > INITIALS_MAX) {
		return turn(state, [bad(`found ${text.length} characters; allowed: 1 to ${INITIALS_MAX}`)]);
	}
	return beginStep({ ...state, by: text });
}

function offered(state: GuideState, text: string): Turn {
	if (text === "") return beginStep(state);
	if (text !== "s" || state.step === null) {
		return turn(state, [bad(`found "${text}"; allowed: Enter, s or q`)]);
	}
	const lines = [plain("Left out: it stays as it was.")];
	return and(turn({ ...state, done: [...state.done, state.step] }, lines), offerNext);
}

function after(state: GuideState, text: string): Turn {
	const { step } = state;
	if (text === "r") return beginStep({ ...state, phase: "offer" });
	if (text !== "" || step === null) {
		return turn(state, [bad(`found "${text}"; allowed: r, Enter or q`)]);
	}
	return offerNext({ ...state, done: [...state.done, step] });
}

function ordered(state: GuideState, text: string): Turn {
	const { tank } = state;
	const litres = litresNow(state);
	if (text === "yes" && tank !== null && litres !== null) {
		return turn(state, [], { type: "order", tank, litres });
	}
	if (text === "no") return turn({ ...state, phase: "trial" }, [], { type: "end" });
	return turn(state, [bad(`found "${text}"; allowed: yes or no, in full`)]);
}

function entered(state: GuideState, text: string): Turn {
	const { step, doubted } = state;
	const name = nextEntry(state);
	if (step === null || name === null) return turn(state);
	const entry = entryOf(step, name);
	const read = readEntry(entry, text);
	if ("why" in read) return turn({ ...state, doubted: null }, [bad(read.why)]);
	const { value } = read;
	const { number } = entry;
	const isOutside =
		typeof value === "number" && number !== undefined && (value < number.min || value > number.max);
	if (isOutside) {
		const range = rangeWords(entry);
		if (!mayBeOutside(step)) return turn(state, [bad(`found ${value}; allowed: ${range}`)]);
		// What is true must be sayable, also when the step fails by it; a slip of the key must not be.
		if (doubted !== value) {
			const words = `${value} is not ${range}: if it is so, type it again, and the step fails.`;
			return turn({ ...state, doubted: value }, [bad(words)]);
		}
	}
	const values = { ...state.values, [name]: value };
	const next = { ...state, values, doubted: null };
	return nextEntry(next) === null ? turn(next, [], { type: "answer", values }) : turn(next);
}
