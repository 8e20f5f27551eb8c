// The motor's current beside a clamp meter round its wire: the median of some seconds of pumping
// against what the person reads. Pure.

import { endOfRun, failed, judged, medianOf, rounded } from "./trial.ts";
import { AMPS_COUNT, type Watch, withAmps } from "./watching.ts";

interface Amps {
	readonly amps: readonly number[];
}

/** Monitor and clamp agree within it: the greater of the two (common practice, no source). */
const WITHIN_A = 0.1;
const WITHIN_SHARE = 0.08;

export const clampAmps: Watch<Amps> = {
	begin: { amps: [] },
	entries: [{ name: "clampAmps", words: "the clamp meter, A", number: { min: 0.05, max: 60 } }],
	watch(own, scene, isOver) {
		const isShort = own.amps.length < AMPS_COUNT;
		if (isOver) return isShort ? { own, end: failed([endOfRun(scene)]) } : { own };
		if (scene.name !== "polishing" || !scene.motorOn) return { own };
		return { own: { amps: withAmps(own.amps, scene) } };
	},
	answer(own, { clampAmps: clamp }) {
		const motorAmps = medianOf(own.amps) ?? 0;
		const within = Math.max(WITHIN_A, WITHIN_SHARE * Number(clamp));
		const off = Math.abs(motorAmps - Number(clamp));
		const shown = rounded(motorAmps, 2);
		const more = `${rounded(within, 2)} A`;
		const reason = `the monitor reads ${shown} A, the clamp ${clamp} A: further than ${more}`;
		return {
			own,
			end: judged(off <= within ? [] : [reason], { motorAmps: shown, clampAmps: clamp ?? 0 }),
		};
	},
	asks: ({ amps }) => (amps.length < AMPS_COUNT ? "wait" : "answer"),
	say: ({ amps }) =>
		amps.length < AMPS_COUNT
			? "Wait until it has pumped for a while."
			: "Type what the clamp shows.",
};
