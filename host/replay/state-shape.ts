// Whether the state that a window begins in has the shape that today's controller keeps: names of
// fields, kinds of values, and as many findings. One that does not fit is told, and never made to
// fit. Pure.

import type { ControllerState } from "../../firmware/controller.ts";

/**
 * @param state as recorded: any JSON
 * @param today a state of today's controller for the same rig
 * @returns what does not fit, in words; null when nothing was seen
 */
export function misfit(state: unknown, today: ControllerState): string | null {
	const found = compare(state, plain(today), "");
	if (found !== null) return found;
	const { findings } = state as ControllerState;
	const [has, wants] = [findings.length, today.findings.length];
	return has === wants ? null : `findings: ${has} of them, where today's logic has ${wants}`;
}

/** The statechart's own: a word or words within words; it throws at one that it does not know. */
const VALUE = "cycle.value";

/** As it comes out of a file: what is undefined is not there. */
const plain = (value: unknown): unknown => JSON.parse(JSON.stringify(value));

function compare(was: unknown, today: unknown, path: string): string | null {
	// What is null now may be anything at another time, and a quantity is a number or a word.
	if (was === null || today === null || isQuantity(was, today)) return null;
	if (path === VALUE) return null;
	const [has, wants] = [kindOf(was), kindOf(today)];
	const place = path === "" ? "the state" : path;
	if (has !== wants) return `${place}: ${has}, where today's logic has ${wants}`;
	if (Array.isArray(was) && Array.isArray(today)) {
		const [first, like] = [was[0], today[0]];
		return first === undefined || like === undefined ? null : compare(first, like, `${path}[0]`);
	}
	if (!isObject(was) || !isObject(today)) return null;
	const at = (key: string) => (path === "" ? key : `${path}.${key}`);
	for (const key of Object.keys(today)) {
		if (!Object.hasOwn(was, key)) return `${at(key)}: nothing, where today's logic has a value`;
	}
	for (const [key, value] of Object.entries(was)) {
		if (!Object.hasOwn(today, key)) return `${at(key)}: a value that today's logic does not know`;
		const inner = compare(value, today[key], at(key));
		if (inner !== null) return inner;
	}
	return null;
}

const isObject = (value: unknown): value is Record<string, unknown> =>
	typeof value === "object" && value !== null && !Array.isArray(value);

const isQuantity = (one: unknown, other: unknown): boolean =>
	(typeof one === "number" || typeof one === "string") &&
	(typeof other === "number" || typeof other === "string");

function kindOf(value: unknown): string {
	if (Array.isArray(value)) return "a list";
	return typeof value === "object" ? "an object" : `a ${typeof value}`;
}
