// The box's own button: silent for a while although its cable is bent, then one press within a
// minute. Pure.

import { type Proceeding, QUIET_MS } from "./steps.ts";
import { failed, gaveUp, judged, type Kind } from "./trial.ts";

type Button = Extract<Proceeding, { kind: "button" }>;

interface ButtonWork {
	readonly kind: "button";
	readonly sinceMs: number;
	readonly isQuiet: boolean;
}

/** The press must come within it, ms. */
const WITHIN_MS = 60_000;

export const button: Kind<Button, ButtonWork> = {
	begin: (_, { nowMs }) => ({ kind: "button", sinceMs: nowMs, isQuiet: false }),
	advance(_, work, { nowMs, beforeMs, sensed, pressed, name }) {
		const inMs = nowMs - work.sinceMs;
		if (name !== "idle") return { work, end: gaveUp("trip", `the controller is ${name}`) };
		if (!work.isQuiet) {
			if (sensed.buttonPressed && beforeMs > work.sinceMs) {
				return { work, end: failed(["it was seen pressed while nobody touched it"]) };
			}
			return inMs < QUIET_MS ? { work } : { work: { ...work, isQuiet: true }, isActive: true };
		}
		const pressSeconds = Number((inMs / 1000).toFixed(1));
		if (pressed) return { work, end: judged([], { quietSeconds: QUIET_MS / 1000, pressSeconds }) };
		if (inMs < QUIET_MS + WITHIN_MS) return { work };
		return { work, end: failed(["no press was seen"]) };
	},
	asks: (_, { isQuiet }) => (isQuiet ? "press" : "wait"),
	say: (_, { isQuiet }) =>
		isQuiet ? "Now press the box's button once." : "Touch nothing but the button's cable: bend it.",
	entries: () => [],
	isTried: (_, { isQuiet }) => isQuiet,
	seen: (_, __, { buttonPressed }) => ({ button: buttonPressed ? "pressed" : "released" }),
};
