// The guide of commissioning: what happened and what was typed go in, what is said and what is sent
// to the controller come out. It leads a person and proves nothing: that is the controller's.
// Pure; imports the catalogue and the words.

import { entryOf, entryPrompt } from "./entry.ts";
import { looked } from "./guide-looks.ts";
import type { GuideEvent, GuideState, Turn } from "./guide-state.ts";
import {
	and,
	CAN_LITRES_MAX,
	inTrial,
	leave,
	litresNow,
	nextEntry,
	quit,
	turn,
} from "./guide-turns.ts";
import { typed } from "./guide-typed.ts";
import { bad, liveWords, plain, sentence } from "./guide-words.ts";

export function guide(state: GuideState, event: GuideEvent): Turn {
	if (state.phase === "over") return turn(state);
	switch (event.type) {
		case "look":
			return looked(state, event.look);
		case "typed":
			return typed(state, event.text.trim());
		case "answered":
			return answered(state, event.accepted, event.reasons);
		case "unanswered":
			return turn({ ...state, sent: null, phase: "resume", isStale: true }, [
				bad("No answer: it may have been taken or not. Looking how the controller stands."),
			]);
		case "lost":
			return turn({ ...state, isLost: true, sent: null }, [
				bad("The line is lost; looking for it. The stop button is at the rig."),
			]);
		case "found":
			return found(state, event.isNewBoot);
		case "quit":
			return quit(state);
	}
}

/** What stands under the text: what is awaited, or what is asked of the person. */
export function footOf(state: GuideState): { live: string } | { prompt: string } {
	const { phase, step, look, sent } = state;
	if (state.isLost) return { live: "the line is lost; looking for it; q ends it" };
	if (sent !== null) return { live: sent.type === "begin" ? "begins" : `sent: ${sent.type}` };
	switch (phase) {
		case "initials":
			return { prompt: "Your initials: " };
		case "offer":
			return { prompt: "Enter begins it, s leaves it out, q ends: " };
		case "after":
			return { prompt: "r tries it again, Enter goes on, q ends: " };
		case "order":
			return { prompt: `Type yes to order ${litresNow(state)} L, no to end the step: ` };
		case "tank":
			return { prompt: `Tank that the tube stands in (${state.tanks.join(", ")}): ` };
		case "can":
			return { prompt: `Litres of one fill, 1 to ${CAN_LITRES_MAX}: ` };
		case "entries": {
			const name = nextEntry(state);
			return { prompt: step === null || name === null ? "" : entryPrompt(entryOf(step, name)) };
		}
		case "settle":
			return { live: settleWords(state) };
		default:
			return { live: look?.now.trial == null ? "looking" : liveWords(look.now.trial) };
	}
}

function settleWords({ look }: GuideState): string {
	if (look?.status.state !== "tripped") return `the rig is ${look?.status.state}; waits for idle`;
	const [first] = look.blocked;
	const why = first === undefined ? "" : `; not yet: ${first.why}`;
	return `waits for the box's button${why}; q ends it`;
}

function answered(before: GuideState, accepted: boolean, reasons: readonly string[]): Turn {
	const { sent } = before;
	const state = { ...before, sent: null };
	if (sent === null) return turn(state);
	const refused = accepted ? [] : [bad(`Refused: ${sentence(reasons.join("; "))}`)];
	switch (sent.type) {
		case "begin":
			return accepted ? turn(inTrial(state)) : turn({ ...state, isStale: true }, refused);
		case "order":
			return accepted
				? turn({ ...state, phase: "trial", orderedLooks: 0 }, [plain("The order is taken.")])
				: turn(state, refused);
		case "answer":
			return accepted
				? turn({ ...state, phase: "trial" })
				: turn({ ...state, values: {} }, refused);
		case "strike":
			return turn(state, accepted ? [plain(`Fill ${sent.fillSeq} is struck.`)] : refused);
		case "end":
		case "stop":
			return state.leaving === null ? turn(state, refused) : and(turn(state, refused), leave);
	}
}

function found(before: GuideState, isNewBoot: boolean): Turn {
	const state: GuideState = { ...before, isLost: false, phase: "resume", isStale: true };
	if (!isNewBoot) return turn(state, [plain("The line is back.")]);
	const words =
		"The controller began anew: what had passed stays passed, a step under way begins again.";
	return turn({ ...state, asks: null }, [plain("The line is back."), bad(words)]);
}
