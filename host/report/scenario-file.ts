// A scenario as a file that a person can read and change: what has its default is left out, small
// things stand on one line. The bench's own reader reads it again. Pure; a browser uses it too.

import { Document, isNode, isScalar, isSeq, visit } from "yaml";
import type { ScenarioInput } from "../../sim/bench/campaign/as-scenario.ts";
import { scenarioSchema } from "../../sim/bench/scenario.ts";

const WIDTH = 100;
/** A map of so many plain values stands on one line, or goes on in the next. */
const ONE_LINE_MAX = 5;

const WHEN = ["atSeconds", "uponTrip", "uponState", "uponProof", "afterSeconds", "everyTime"];

export type Tree = { [key: string]: unknown };

/** Of two JSON values; a key without a value is none. */
export function isSame(one: unknown, other: unknown): boolean {
	if (Object.is(one, other)) return true;
	if (typeof one !== "object" || typeof other !== "object") return false;
	if (one === null || other === null || Array.isArray(one) !== Array.isArray(other)) return false;
	const keys = new Set([...Object.keys(one), ...Object.keys(other)]);
	return [...keys].every((key) => isSame(Reflect.get(one, key), Reflect.get(other, key)));
}

export function scenarioText(scenario: ScenarioInput): string {
	const whole = scenarioSchema.parse(scenario);
	const isWhole = (tree: Tree) => {
		const read = scenarioSchema.safeParse(tree);
		return read.success && isSame(read.data, whole);
	};
	const { crew = [], ...rest } = JSON.parse(JSON.stringify(scenario)) as Tree;
	// People do nothing by default: their entries are left alone, of which there may be hundreds.
	const bare: Tree = {
		...withoutDefaults(rest, (tree) => isWhole({ ...tree, crew })),
		...(Array.isArray(crew) && crew.length > 0 ? { crew } : {}),
	};
	const keys = Object.keys(scenarioSchema.shape).filter((key) => key in bare);
	return textOf(Object.fromEntries(keys.map((key) => [key, timesFirst(bare[key])])));
}

/** In each entry of a list the time comes first. */
function timesFirst(value: unknown): unknown {
	if (!Array.isArray(value)) return value;
	return value.map((entry: Tree) => {
		const times = Object.entries(entry).filter(([key]) => WHEN.includes(key));
		return { ...Object.fromEntries(times), ...entry };
	});
}

/** Takes out, key by key, what reads the same without it. */
export function withoutDefaults(tree: Tree, isWhole: (tree: Tree) => boolean): Tree {
	const prune = (node: unknown): void => {
		if (Array.isArray(node)) node.forEach(prune);
		else if (typeof node === "object" && node !== null) pruneMap(node as Tree);
	};
	const pruneMap = (map: Tree): void => {
		for (const key of Object.keys(map)) {
			const value = map[key];
			const before = { ...map };
			delete map[key];
			if (isWhole(tree)) continue;
			// Put back with its neighbours, so that the order stays as it was.
			for (const name of Object.keys(map)) delete map[name];
			Object.assign(map, before);
			prune(value);
		}
	};
	prune(tree);
	return tree;
}

export function textOf(tree: Tree): string {
	const document = new Document(tree);
	visit(document, {
		Map: (_, map, path) => {
			const isEntry = path.some(isSeq);
			const isPlain = map.items.every(({ value }) => isScalar(value));
			const isSmall = isPlain && map.items.length <= ONE_LINE_MAX;
			if (isEntry || (isSmall && path.length > 1)) map.flow = true;
		},
		Seq: (_, seq) => {
			if (seq.items.every(isScalar)) seq.flow = true;
		},
		Pair: (_, { key, value }, path) => {
			// What is more than a line stands apart.
			if (path.length === 2 && isNode(key) && !isScalar(value)) key.spaceBefore = true;
		},
	});
	return document.toString({ lineWidth: WIDTH, flowCollectionPadding: true });
}
