// The turns that the guide of commissioning takes for more than one reason: to the next step, to a
// step's beginning, to an order, to the end. Pure; imports the catalogue and the words.

import { type Step, stepRows } from "../../../firmware/commission/step-rows.ts";
import { litresOf } from "../../report/commission-steps.ts";
import type { GuideState, Look, Send, Turn } from "./guide-state.ts";
import { bad, caution, type Line, listHead, plain, stepLines } from "./guide-words.ts";

/** Litres of one fill at most. */
export const CAN_LITRES_MAX = 50;

/** An order of this guide is known by the beginning of its id, also after the guide has gone. */
export const ORDER_ID = "commission-";
export const isOurs = (order: Look["status"]["order"]): boolean =>
	order?.id.startsWith(ORDER_ID) === true;

export const turn = (
	state: GuideState,
	lines: readonly Line[] = [],
	send: Send | null = null,
): Turn => ({
	state: send === null ? state : { ...state, sent: send },
	lines,
	send,
});

/** One turn after another, their lines in a row. */
export function and(first: Turn, next: (state: GuideState) => Turn): Turn {
	const second = next(first.state);
	return { ...second, lines: [...first.lines, ...second.lines], send: second.send ?? first.send };
}

export const inTrial = (state: GuideState): GuideState => ({
	...state,
	phase: "trial",
	said: null,
	asks: null,
	values: {},
	doubted: null,
	orderedLooks: null,
	settledLooks: 0,
	isStopped: false,
	hasPassed: null,
	fillsTold: "",
});

/** The step that comes next, as the list has it. */
export function nextStep({ rows, done, only }: GuideState): Step | null {
	if (only !== null) return done.includes(only) ? null : only;
	return rows.find(({ step, due }) => due !== null && !done.includes(step))?.step ?? null;
}

export function offerNext(state: GuideState): Turn {
	const step = nextStep(state);
	if (step === null) return over(state);
	const due = state.rows.filter((row) => row.due !== null).map((row) => row.step);
	const at = due.indexOf(step);
	const place = at < 0 ? "" : `${at + 1} of ${due.length} that are due: `;
	const why = state.rows.find((row) => row.step === step)?.due ?? null;
	const lines = [
		...stepLines(step, place),
		plain(why === null ? "It is not due; it may be done again." : `Why it is due: ${why}.`),
		...(stepRows[step].goes.kind === "fills"
			? [plain("`strike NUMBER REASON` strikes a fill.")]
			: []),
	];
	return turn({ ...state, step, phase: "offer", hasPassed: null, asks: null }, lines);
}

/** What is due at the end stays due. */
function over(state: GuideState): Turn {
	return turn({ ...state, phase: "over" }, [plain(""), ...listHead(state.rows)]);
}

export function beginStep(state: GuideState): Turn {
	const { step, by } = state;
	if (step === null) return turn(state);
	if (by === null) return turn({ ...state, phase: "initials" });
	return turn({ ...state, phase: "offer" }, [], { type: "begin", step, by });
}

export function askOrder(state: GuideState, lines: readonly Line[]): Turn {
	const isAsked = ["order", "tank", "can"].includes(state.phase);
	const [only] = state.tanks;
	const tank = state.tank ?? (state.tanks.length === 1 ? (only ?? null) : null);
	if (tank === null) return turn({ ...state, phase: "tank" }, lines);
	const known = { ...state, tank };
	if (litresNow(known) === null) return turn({ ...known, phase: "can" }, lines);
	if (isAsked && state.phase === "order") return turn(known, lines);
	const isIntoCan = state.step !== null && stepRows[state.step].goes.kind === "fills";
	const where = isIntoCan ? "into the can" : "and back into it";
	const words =
		`Caution: the pump starts by itself some ten seconds after the yes, from tank ${tank} ` +
		`${where}. Return locked, tray and absorbent in place, no flame, no hand in the way; ` +
		"your own at the stop button. Stay until it has ended.";
	return turn({ ...known, phase: "order" }, [...lines, caution(words)]);
}

export function litresNow({ step, canLitres }: GuideState): number | null {
	return step === null ? null : (litresOf(stepRows[step]) ?? canLitres);
}

export const nextEntry = ({ look, values }: GuideState): string | null =>
	look?.now.trial?.entries.find((name) => !(name in values)) ?? null;

/** A step under way is ended and its order stopped: nobody may lead it any more. */
export function quit(state: GuideState): Turn {
	const { isLost, leaving } = state;
	if (isLost) {
		const words =
			"A step under way ends by itself within 15 minutes. The stop button is at the rig.";
		return turn({ ...state, phase: "over" }, [bad(words)]);
	}
	if (leaving !== null) return turn({ ...state, phase: "over" });
	const next = { ...state, leaving: { isStopped: false, isEnded: false } };
	return state.sent === null ? leave(next) : turn(next);
}

export function leave(state: GuideState): Turn {
	const { leaving, look } = state;
	if (leaving === null) return turn(state);
	const trial = look?.now.trial ?? null;
	const order = look?.status.order ?? null;
	if (order !== null && (trial !== null || isOurs(order)) && !leaving.isStopped) {
		return turn({ ...state, leaving: { ...leaving, isStopped: true } }, [], { type: "stop" });
	}
	if (trial !== null && !leaving.isEnded) {
		return turn({ ...state, leaving: { ...leaving, isEnded: true } }, [], { type: "end" });
	}
	const words = "Ended. What has passed stays passed; the same command goes on from there.";
	return turn({ ...state, phase: "over" }, [plain(words)]);
}
