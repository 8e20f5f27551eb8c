// The figures that `lees size` works out for a tank at a temperature: names, units and words, the
// one list from which the account, the JSON and its schema are made. Imports zod only.

import * as z from "zod";

interface FigureRow {
	readonly label: string;
	readonly unit: string;
	/** Digits after the point on paper. */
	readonly digits: number;
}

const figure = (label: string, unit: string, digits: number): FigureRow => ({
	label,
	unit,
	digits,
});

export const figureRows = {
	flowCleanLph: figure("Flow, element clean", "L/h", 1),
	flowChangeLph: figure("Flow, element at change-out", "L/h", 1),
	tubeSpeedMps: figure("Speed in the tube", "m/s", 2),
	tubeReynolds: figure("Reynolds number, tube", "", 0),
	hoseSpeedMps: figure("Speed in the hose", "m/s", 2),
	hoseReynolds: figure("Reynolds number, hose", "", 0),
	vacuumCleanKpa: figure("Vacuum at pump, clean", "kPa", 1),
	vacuumChangeKpa: figure("Vacuum at pump, change-out", "kPa", 1),
	marginCleanKpa: figure("Margin, clean", "kPa", 1),
	marginChangeKpa: figure("Margin, change-out", "kPa", 1),
	marginLowKpa: figure("Same, tank nearly empty", "kPa", 1),
	primingSeconds: figure("Priming, empty line to bowl", "s", 1),
	turnoverHours: figure("A turnover, pump hours", "h", 2),
	turnoversTo5Pct: figure("Turnovers to 5 % left", "", 1),
	hoursTo5Pct: figure("Pump hours to 5 % left", "h", 1),
	turnoversTo1Pct: figure("Turnovers to 1 % left", "", 1),
	hoursTo1Pct: figure("Pump hours to 1 % left", "h", 1),
	clockHoursTo1Pct: figure("The same with its rests", "h", 1),
	bowlCutMicron: figure("Drop that the bowl lets by", "µm", 0),
	settleHours: figure("Settling worth waiting for", "h", 1),
	elementLitres: figure("An element lasts", "L", 0),
	elementsForTank: figure("Elements for this tank's dirt", "", 2),
	amps: figure("Current, element clean", "A", 2),
	sessionAh: figure("Charge for a session", "Ah", 1),
	batteryPct: figure("Share of the battery", "%", 1),
} as const satisfies Readonly<Record<string, FigureRow>>;

export type FigureName = keyof typeof figureRows;

const isFigureName = (name: string): name is FigureName => name in figureRows;
export const figureNames: readonly FigureName[] = Object.keys(figureRows).filter(isFigureName);

/** A figure without uncertainty; infinity where there is no such time or volume. */
export type Figures = Readonly<Record<FigureName, number>>;

/** Null stands for infinity, as where a pump never primes. */
const amount = z.number().nullable();

export const spreadSchema = z.strictObject({
	value: amount.describe("with every input as stated"),
	p10: amount.describe("a tenth of the draws lies below"),
	p50: amount.describe("half of the draws lies below"),
	p90: amount.describe("nine tenths of the draws lie below"),
});
export type Spread = z.infer<typeof spreadSchema>;

export const figuresSchema = z
	.record(z.enum(figureNames), spreadSchema)
	.describe("each figure by name; the name ends in its unit");

/** Six digits: what lies beyond is neither known nor the same on every machine. */
export const rounded = (value: number): number | null =>
	Number.isFinite(value) ? Number(value.toPrecision(6)) : null;
