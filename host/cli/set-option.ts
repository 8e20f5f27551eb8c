// `--set SETPOINT=VALUE`: the rig file with that setpoint changed, for one run. Checked by the rig
// file's own schema, so that what no rig file may say cannot be set here either.

import { InputError } from "../../firmware/config/input-error.ts";
import { type Rig, readRig } from "../../firmware/config/rig.ts";
import { didYouMean } from "../../firmware/config/schema-words.ts";
import { type SetpointName, setpointRows } from "../../firmware/cycle/setpoints.ts";

export interface SetpointChange {
	readonly setpoint: SetpointName;
	readonly value: number;
}

const OPTION = "--set";

/** @param text `NAME=VALUE` @throws InputError */
export function parseSet(text: string): SetpointChange {
	const [, name = "", typed = ""] = /^\s*([^=\s]+)\s*=\s*(.*\S)\s*$/.exec(text) ?? [];
	if (name === "") throw refusal(text, "SETPOINT=VALUE, such as waterDelayMs=400");
	if (!isSetpoint(name)) throw refusal(text, didYouMean(name, Object.keys(setpointRows)));
	const value = Number(typed);
	const { unit, min, max } = setpointRows[name];
	if (!Number.isFinite(value)) {
		throw refusal(text, `a number from ${min} to ${max}, without its unit (${unit})`);
	}
	return { setpoint: name, value };
}

/** All of them. @throws InputError where a setpoint comes twice */
export function parseSets(texts: readonly string[]): SetpointChange[] {
	const changes = texts.map(parseSet);
	changes.forEach(({ setpoint }, i) => {
		const first = changes.findIndex((other) => other.setpoint === setpoint);
		if (first !== i) throw refusal(texts[i] ?? "", "each setpoint once");
	});
	return changes;
}

/** The rig with these setpoints. @throws InputError as its file would be refused */
export function rigWith(rig: Rig, changes: readonly SetpointChange[]): Rig {
	if (changes.length === 0) return rig;
	const text = JSON.stringify({ ...rig, setpoints: { ...rig.setpoints, ...setOf(changes) } });
	try {
		// JSON is YAML as well: the one reader of rig files decides.
		return readRig(text, OPTION);
	} catch (error) {
		if (!(error instanceof InputError)) throw error;
		const typed = changes.map((change) => `${OPTION} ${setText(change)}`).join(" ");
		const file = `${typed} for ${rig.rig}`;
		// A line and column of the text above would lead nowhere.
		throw new InputError(
			error.problems.map(({ line: _, column: __, ...problem }) => ({ ...problem, file })),
		);
	}
}

/** As it is typed. */
export const setText = ({ setpoint, value }: SetpointChange): string => `${setpoint}=${value}`;

/** As JSON output tells it. */
export const setOf = (changes: readonly SetpointChange[]): Record<string, number> =>
	Object.fromEntries(changes.map(({ setpoint, value }) => [setpoint, value]));

/** In words, beside what the rig files say. */
export function setWords({ setpoint, value }: SetpointChange, rigs: readonly Rig[]): string {
	const shipped = [...new Set(rigs.map(({ setpoints }) => setpoints[setpoint]))];
	const { unit } = setpointRows[setpoint];
	return `${setpoint} is ${value} ${unit} in place of ${shipped.join(" or ")}.`;
}

function isSetpoint(name: string): name is SetpointName {
	return Object.hasOwn(setpointRows, name);
}

function refusal(found: string, allowed: string): InputError {
	return new InputError([{ file: OPTION, found, allowed }]);
}
