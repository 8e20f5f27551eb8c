// A copy of a rig file with what calibration found: the meter's factor, the pump's flow and their
// uncertainties. Comments, order and everything else stay as they are. Pure; imports yaml and the
// rig file's own reader, which the copy has to satisfy.

import { isMap, parseDocument } from "yaml";
import type { FillList } from "../../../firmware/commission/schemas.ts";
import { InputError } from "../../../firmware/config/input-error.ts";
import { readRig } from "../../../firmware/config/rig.ts";
import { percent, rounded } from "./guide-words.ts";

/** The least that the rig file may say of the pump's uncertainty, %. */
const PUMP_PCT_MIN = 0.1;

/** @param file the name used in messages @throws InputError without a mean, or for what no rig has */
export function calibratedRig(text: string, fills: FillList, file: string): string {
	const { perLitre, uncertaintyPct, pumpLph, pumpPct } = fills;
	if (perLitre === null || uncertaintyPct === null) {
		const found = `${fills.fills.filter(({ struck }) => !struck).length} fills that count`;
		throw new InputError([{ file, found, allowed: "three fills of one size, or more" }]);
	}
	const doc = parseDocument(text);
	const set = (path: readonly [string, string], value: number) => {
		if (!isMap(doc.get(path[0]))) throw new InputError([missing(file, path[0])]);
		doc.setIn(path, value);
	};
	set(["meter", "pulsesPerLitre"], rounded(perLitre));
	set(["meter", "calibrationPct"], percent(uncertaintyPct));
	if (pumpLph !== null && pumpPct !== null) {
		set(["pump", "measuredLph"], rounded(pumpLph));
		set(["pump", "measuredPct"], percent(pumpPct, PUMP_PCT_MIN));
	}
	const copy = doc.toString({ lineWidth: 0, flowCollectionPadding: true });
	readRig(copy, file);
	return copy;
}

const missing = (file: string, key: string) => ({
	file,
	key,
	found: "no such part",
	allowed: "a rig file as the controller reads it",
});
