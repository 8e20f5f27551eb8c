// The table of sensor, fault and state as data: the schema of hardware/sensor-faults.yaml, its
// reader, its cells, and which of them are empty. What each row claims is played on the simulated
// rig by test/properties/sensor-faults.test.ts; the page of the hazards prints the undetected ones.

import * as z from "zod";
import { readDocument } from "../../firmware/config/document.ts";
import { InputError } from "../../firmware/config/input-error.ts";
import { tripCodes } from "../../firmware/cycle/trips.ts";
import { type Fault, faultRows, faults as worldFaults } from "../../sim/faults.ts";
import { isSensorFault, sensorChannels } from "../../sim/sensor-faults.ts";
import type { UndetectedRow } from "./hazard-page.ts";

/** Where in the cycle a fault may begin; a state of two parts is written state/part. */
export const points = [
	"off",
	"starting/warning",
	"starting/drawing",
	"pumping",
	"between/resting",
	"between/held",
	"tripped",
] as const;
export type Point = (typeof points)[number];

const classes = ["off", "starting", "pumping", "between", "tripped"] as const;

/** How a sensor or its wire fails; a drift goes two ways. */
const kinds = ["cut", "shorted", "stuck", "drifts-up", "drifts-down", "noisy"] as const;

/** How the board fails, and the simulator's name of it. */
const boardFaults = {
	silent: "board-stops-answering",
	"forged-beat": "beat-forged",
	"silent-converter": "converter-silent",
} as const satisfies Record<string, Fault>;
const boardKinds = ["silent", "forged-beat", "silent-converter"] as const;

const channels = [...sensorChannels, "board"] as const;
const faultNames = [...kinds, ...boardKinds] as const;
type Channel = (typeof channels)[number];
type FaultName = (typeof faultNames)[number];

const sentence = z.string().min(3).max(400);
const seconds = z.number().min(0).max(50_000);
const trip = z.enum(tripCodes);
const hazard = z
	.enum(worldFaults)
	.refine((name) => !isSensorFault(name), { message: "a fault of the world, not of a sensor" })
	.optional();

const where = {
	channels: z.array(z.enum(channels)).min(1),
	faults: z.array(z.enum(faultNames)).min(1),
	states: z.array(z.enum([...new Set([...classes, ...points])])).min(1),
	because: sentence.describe("why this is the answer"),
};

const rowSchema = z.discriminatedUnion("answer", [
	z
		.strictObject({
			...where,
			answer: z.literal("trip"),
			codes: z.array(trip).min(1).describe("any of these"),
			withinSeconds: seconds,
			by: z.enum(["start", "stop"]).optional(),
			refused: z.string().min(3).optional().describe("words of a refusal that is as good"),
			whenHazard: hazard,
			pumpOffSeconds: seconds.optional().describe("where it is off long before the trip"),
		})
		.refine(({ by, refused }) => refused === undefined || by === "start", {
			message: "refused only with by: start",
		}),
	z
		.strictObject({
			...where,
			answer: z.literal("unknown"),
			withinSeconds: seconds.optional(),
			by: z.literal("start").optional().describe("refused at the start"),
			attended: z.enum(["goes on", "stops"]),
			names: z.string().min(3).optional().describe("the channel named, where it is another"),
		})
		.refine(({ by, withinSeconds }) => by !== undefined || withinSeconds !== undefined, {
			message: "withinSeconds, by: start or both",
		}),
	z.strictObject({
		...where,
		answer: z.literal("harmless"),
		waits: z.literal(true).optional().describe("the pump stays off"),
		litres: z.literal("suffer").optional().describe("the account is wrong, and nothing else"),
		armed: z.literal(false).optional().describe("nobody has armed the plan"),
	}),
	z.strictObject({
		...where,
		answer: z.literal("undetected"),
		hides: sentence.describe("what it hides"),
		hazard: z.string().min(3).describe("in hazards.yaml"),
		proofTest: z.string().min(3).describe("in hazards.yaml"),
		later: trip.optional().describe("what finds it once the pump stands"),
		whenHazard: hazard,
		hazardSize: z.number().optional().describe("in the hazard's own unit; else the usual"),
	}),
]);

const fileSchema = z.strictObject({
	invented: z.literal(true).describe("its figures are those of an invented rig"),
	rows: z.array(rowSchema).min(1),
});

export type SensorFaultRow = Readonly<z.infer<typeof rowSchema>>;
export type SensorFaultFile = z.infer<typeof fileSchema>;
export type Answer<K extends SensorFaultRow["answer"]> = Extract<SensorFaultRow, { answer: K }>;

/** One channel that fails in one way at one point of the cycle, and the row that answers. */
export interface Cell {
	readonly channel: Channel;
	readonly fault: FaultName;
	readonly point: Point;
	readonly row: SensorFaultRow;
}

/**
 * Reads and checks the table's text.
 * @throws InputError naming file, line, column, key, what was found and what is allowed
 */
export function readSensorFaults(text: string, file: string): SensorFaultFile {
	const { value, problem } = readDocument(text, file, fileSchema);
	const problems = [];
	const taken = new Set<string>();
	for (const [i, row] of value.rows.entries()) {
		for (const [j, channel] of row.channels.entries()) {
			const allowed = faultsOf(channel);
			for (const [k, fault] of row.faults.entries()) {
				if (allowed.some((name) => name === fault)) continue;
				const words = `for ${channel}: ${allowed.join(", ")}`;
				problems.push(problem(["rows", i, "faults", k], words));
			}
			const names = cellsOf({ ...row, channels: [channel] }).map(nameOf);
			const twice = names.find((name) => taken.has(name));
			if (twice !== undefined) {
				problems.push(problem(["rows", i, "channels", j], `one row for ${twice}`));
			}
			for (const name of names) taken.add(name);
		}
	}
	if (problems.length > 0) throw new InputError(problems);
	return value;
}

const faultsOf = (channel: Channel): readonly FaultName[] =>
	channel === "board" ? boardKinds : kinds;

/** Every cell that a row fills. */
export function cellsOf(row: SensorFaultRow): Cell[] {
	const filled = points.filter((point) =>
		row.states.some((state) => state === point || state === point.split("/")[0]),
	);
	return row.channels.flatMap((channel) =>
		row.faults.flatMap((fault) => filled.map((point) => ({ channel, fault, point, row }))),
	);
}

/** "tray stuck, pumping" */
export const nameOf = ({ channel, fault, point }: Omit<Cell, "row">): string =>
	`${channel} ${fault}, ${point}`;

/** Names of the cells that no row fills. */
export function emptyCells({ rows }: SensorFaultFile): string[] {
	const filled = new Set(rows.flatMap(cellsOf).map(nameOf));
	const all = channels.flatMap((channel) =>
		faultsOf(channel).flatMap((fault) => points.map((point) => nameOf({ channel, fault, point }))),
	);
	return all.filter((name) => !filled.has(name));
}

/** The simulator's fault of a cell, with its size where it has one; null where there is none. */
export function faultOf({ channel, fault }: Cell): { fault: Fault; size?: number } | null {
	if (channel === "board") {
		const name = boardKinds.find((kind) => kind === fault);
		return name === undefined ? null : { fault: boardFaults[name] };
	}
	const way = /^drifts-(up|down)$/.exec(fault)?.[1];
	const name = `${channel}-${way === undefined ? fault : "drifts"}`;
	if (!isSensorFault(name)) return null;
	if (way === undefined) return { fault: name };
	const usual = Math.abs(faultRows[name].size?.usual ?? 0);
	return { fault: name, size: way === "up" ? usual : -usual };
}

/** What the page of the hazards prints: a row for each sensor and fault that nothing detects. */
export function undetectedIn({ rows }: SensorFaultFile): UndetectedRow[] {
	return rows.flatMap((row) => {
		if (row.answer !== "undetected") return [];
		const { hides, proofTest } = row;
		const everywhere = classes.every((name) => row.states.includes(name));
		const states = everywhere ? "in any state" : row.states.map(stateWords).join(", ");
		const fault = row.faults.map((name) => name.replace("-", " ")).join(", ");
		return row.channels.map((sensor) => ({ sensor, fault, states, hides, proofTest }));
	});
}

/** "starting/drawing" as "starting (drawing)". */
const stateWords = (state: string) => state.replace(/\/(.*)/, " ($1)");
