// A copy of a rig file with what calibration found: the meter's factor, the pump's flow and their
// uncertainties. Only these figures change: every other letter, comments too, stays where it is.
// Pure; imports yaml and the rig file's own reader, which the copy has to satisfy.

import { isMap, isScalar, parseDocument, type YAMLMap } from "yaml";
import type { FillList } from "../../../firmware/commission/schemas.ts";
import { InputError } from "../../../firmware/config/input-error.ts";
import { readRig } from "../../../firmware/config/rig.ts";
import { percent, rounded } from "./guide-words.ts";

/** The least that the rig file may say of the pump's uncertainty, %. */
const PUMP_PCT_MIN = 0.1;

/** A figure, and the one before it where it is not there yet. */
interface Figure {
	readonly part: "meter" | "pump";
	readonly key: string;
	readonly after: string;
	readonly value: number;
}

/** @param file the name in messages @throws InputError without a mean, or for what no rig has */
export function calibratedRig(text: string, fills: FillList, file: string): string {
	const { perLitre, uncertaintyPct, pumpLph, pumpPct } = fills;
	if (perLitre === null || uncertaintyPct === null) {
		const found = `${fills.fills.filter(({ struck }) => !struck).length} fills that count`;
		throw new InputError([{ file, found, allowed: "three fills of one size, or more" }]);
	}
	const factor = { part: "meter", key: "pulsesPerLitre", after: "kind" } as const;
	const sure = { part: "meter", key: "calibrationPct", after: "pulsesPerLitre" } as const;
	const flow = { part: "pump", key: "measuredLph", after: "freeFlowLph" } as const;
	const flowSure = { part: "pump", key: "measuredPct", after: "measuredLph" } as const;
	const figures: Figure[] = [
		{ ...factor, value: rounded(perLitre) },
		{ ...sure, value: percent(uncertaintyPct) },
		...(pumpLph === null || pumpPct === null
			? []
			: [
					{ ...flow, value: rounded(pumpLph) },
					{ ...flowSure, value: percent(pumpPct, PUMP_PCT_MIN) },
				]),
	];
	const copy = figures.reduce((now, figure) => withFigure(now, figure, file), text);
	readRig(copy, file);
	return copy;
}

function withFigure(text: string, { part, key, after, value }: Figure, file: string): string {
	const map = parseDocument(text).get(part);
	if (!isMap(map)) throw missing(file, part);
	const own = endsOf(map, key);
	if (own !== null) return `${text.slice(0, own.from)}${value}${text.slice(own.to)}`;
	const before = endsOf(map, after);
	if (before === null) throw missing(file, `${part}.${after}`);
	// In a row between braces it stands behind the other, else on a line under it.
	const line = text.slice(text.lastIndexOf("\n", before.keyFrom) + 1, before.keyFrom);
	const end = text.indexOf("\n", before.to);
	return map.flow === true
		? `${text.slice(0, before.to)}, ${key}: ${value}${text.slice(before.to)}`
		: `${text.slice(0, end)}\n${line}${key}: ${value}${text.slice(end)}`;
}

/** Where a value stands in the text; null where there is none of that name. */
function endsOf(map: YAMLMap, name: string) {
	const pair = map.items.find(({ key }) => isScalar(key) && key.value === name);
	if (!isScalar(pair?.key) || !isScalar(pair.value)) return null;
	const [keyFrom] = pair.key.range ?? [];
	const [from, to] = pair.value.range ?? [];
	return keyFrom === undefined || from === undefined || to === undefined
		? null
		: { keyFrom, from, to };
}

const missing = (file: string, key: string): InputError =>
	new InputError([
		{ file, key, found: "nothing", allowed: "a rig file as the controller reads it" },
	]);
