// The account of a campaign: what was played, which faults struck, what tripped, what broke; and
// of a single seed its whole story in the manner of the bench. Within 80 columns.

import type { Rig } from "../../firmware/config/rig.ts";
import type { SeedRun } from "../../sim/bench/campaign/seed-run.ts";
import type { Story } from "../../sim/bench/campaign/story-draw.ts";
import type { Tally } from "../../sim/bench/campaign/tally.ts";
import { outcomeOf } from "../../sim/bench/judge.ts";
import { faultRows, invariants } from "../../sim/faults.ts";
import { accountLines, clock, layOut, wrap } from "./account.ts";
import type { Marked } from "./bench-account.ts";

const WIDTH = 80;

/** As `--json` prints it. */
export interface CampaignResult extends Tally {
	readonly seeds: { readonly from: number; readonly to: number };
	/** The longest that an order pumps, h. */
	readonly hoursMax: number;
	readonly wallSeconds: number;
	readonly timesRealTime: number;
	/** Number of `failures`. */
	readonly violations: number;
	/** Seeds that failed, as they were written: the first ones. */
	readonly kept: readonly KeptSeed[];
}

/** A failing seed as a scenario's file. */
export interface KeptSeed {
	readonly seed: number;
	readonly invariant: string;
	/** In the file's own run, s; of an order that did not finish, when the bench gave up. */
	readonly atSeconds: number;
	readonly file: string;
	/** Stories that were played to make it smaller, and what is left out of it now. */
	readonly plays: number;
	readonly cut: readonly string[];
	/** Whether the bench plays the file to the same failure. */
	readonly reproduces: boolean;
}

const plain = (text: string): Marked => ({ mark: "plain", text });
const heading = (text: string): Marked => ({ mark: "heading", text });
const wrapped = (text: string) => wrap(text, WIDTH).map(plain);

export function campaignHead(seeds: CampaignResult["seeds"], hoursMax: number): Marked[] {
	return [
		{ mark: "title", text: `Campaign, seeds ${seeds.from}..${seeds.to}` },
		...wrapped(
			`Orders pump for up to ${hoursMax} h. Rigs, seas and faults are drawn, all of it is ` +
				"invented and simulated: no hardware, no fuel, no network.",
		),
		plain(`One of them again, with its story: ${replay("N", hoursMax)}`),
		plain(""),
	];
}

const replay = (seed: number | string, hoursMax: number) =>
	`lees campaign --seeds ${seed}..${seed} --hours ${hoursMax}`;

export function campaignAccount(result: CampaignResult): Marked[] {
	const { runs, attended, simulatedHours, pumpOnHours, wallSeconds, timesRealTime } = result;
	const row = (name: string, value: string) => plain(`${name.padEnd(32)}${value.padStart(9)}`);
	const { failures, violations, hoursMax } = result;
	return [
		row("Runs", String(runs)),
		row("With a person at the rig", String(attended)),
		row("Simulated, h", simulatedHours.toFixed(1)),
		row("Pump on, h", pumpOnHours.toFixed(1)),
		row("On the wall's clock, s", wallSeconds.toFixed(1)),
		row("Times real time", timesRealTime.toFixed(0)),
		plain(""),
		heading("RUNS IN WHICH A FAULT STRUCK AN ORDER UNDER WAY"),
		...inColumns(result.runsPerFault, 2),
		plain(""),
		heading("TRIPS"),
		...inColumns(result.tripsPerCode, 3),
		plain(""),
		heading(`VIOLATIONS: ${violations}`),
		...failures.map(
			({ seed, invariant, atSeconds }): Marked => ({
				mark: "broken",
				text: `seed ${seed}, at ${clock(1000 * atSeconds)}: ${invariant}`,
			}),
		),
		...[...new Set(failures.map(({ seed }) => seed))].map((seed) => plain(replay(seed, hoursMax))),
		...(violations === 0 ? [plain(`None of the ${invariants.length + 1} invariants broke.`)] : []),
		...keptAccount(result.kept),
	];
}

/** Where failing seeds were written, and how much smaller they are. */
export function keptAccount(kept: readonly KeptSeed[]): Marked[] {
	if (kept.length === 0) return [];
	return [
		plain(""),
		heading("WRITTEN AS SCENARIOS"),
		...kept.flatMap(({ seed, invariant, atSeconds, file, plays, cut, reproduces }) => [
			plain(`lees bench ${file}`),
			...wrapped(`Seed ${seed}, at ${clock(1000 * atSeconds)}: ${invariant}.`),
			...wrapped(`By ${plays} plays: ${cut.length > 0 ? cut.join("; ") : "nothing left out"}.`),
			...(reproduces ? [] : wrapped("The bench does not play this file to the same failure.")),
		]),
	];
}

function inColumns(counts: Readonly<Record<string, number>>, columns: number): Marked[] {
	const entries = Object.entries(counts);
	const rows = Math.ceil(entries.length / columns);
	const width = Math.floor(WIDTH / columns);
	return Array.from({ length: rows }, (_, i) => {
		const cells = Array.from({ length: columns }, (_, column) => {
			const [name, count] = entries[i + column * rows] ?? [];
			return name === undefined ? "" : `${String(count).padStart(5)} ${name}`.padEnd(width);
		});
		return plain(cells.join("").trimEnd());
	});
}

/** What was drawn, before anything is played. */
export function storyHead({ seed, rig, scenario, attended }: Story, hoursMax: number): Marked[] {
	const { start, faults } = scenario;
	const sea = start.sea ?? { rollDeg: 0, periodS: 0 };
	const tank = start.tanks[start.tube];
	return [
		{ mark: "title", text: `Campaign, seed ${seed}` },
		plain(`Again: ${replay(seed, hoursMax)}`),
		...wrapped("The pump is simulated, rig and story are drawn: no hardware, no fuel."),
		plain(""),
		heading("DRAWN RIG"),
		...rigLines(rig),
		plain(""),
		heading("DRAWN WORLD"),
		...wrapped(
			`Air ${start.airC} °C, sea ${sea.rollDeg}° at ${sea.periodS} s, battery ` +
				`${start.batteryVolts} V, charger ${start.chargerAmps} A, ${start.altitudeM} m up, meter ` +
				`${start.meterErrorPct} % off, bowl's water ${start.waterOhm} Ω. Tank ${start.tube}: ` +
				`${tank?.fuelLitres} L of fuel, ${tank?.freeWaterLitres} L of water, ` +
				`${tank?.dirtGrams} g of dirt, ${tank?.sludgeGrams} g of sludge.`,
		),
		...wrapped(attended ? "A person stays at the rig." : "Nobody stays at the rig."),
		plain(""),
		heading("DRAWN FAULTS"),
		...faults.flatMap((fault) => wrapped(faultWords(fault))),
		plain(""),
	];
}

function rigLines({ pump, meter, supply, bowl, element, tanks, tube, sensors, fuel }: Rig) {
	const list = tanks.map(
		({ name, volumeLitres, depthMm, shape }) => `${name} ${volumeLitres} L ${depthMm} mm ${shape}`,
	);
	return wrapped(
		`Pump: ${pump.kind}, ${pump.freeFlowLph} L/h, ${pump.ratedVolts} V, ${pump.runningAmps} A, ` +
			`runs ${pump.runMinutesMax} min, rests ${pump.restMinutes} min, dry ` +
			`${pump.dryRunSecondsMax} s, ${pump.heightMm ?? tube.lengthMm} mm up. ` +
			`Meter: ${meter.kind}, ${meter.pulsesPerLitre} pulses/L. ` +
			`Battery: ${supply.chemistry}, ${supply.batteryAh} Ah. ` +
			`Bowl: ${bowl.volumeMl} mL, probe at ${bowl.sumpToProbeMl} mL, carry-over ` +
			`${bowl.probeToCarryoverMl} mL above. Element: ${element.ratingMicron} µm, ` +
			`${element.cleanKpa} to ${element.changeAtKpa} kPa. Tube: ${tube.lengthMm} mm of ` +
			`${tube.boreMm} mm. Cloud point ${fuel.cloudPointC} °C. Tanks: ${list.join("; ")}. ` +
			`Sensors: ${sensors.join(", ")}.`,
	);
}

function faultWords({ fault, size, overSeconds, ...when }: Story["scenario"]["faults"][number]) {
	const { size: row } = faultRows[fault];
	const large = row === undefined ? "" : `, ${size ?? row.usual} ${row.unit}`;
	const slow = overSeconds === undefined ? "" : `, over ${overSeconds} s`;
	return `${fault}${large}${slow}: ${when.afterSeconds} s into ${when.uponState}.`;
}

/** What came of it. */
export function storyAccount({ run, mendedS, struck, failures }: SeedRun): Marked[] {
	const { pulsesPerLitre } = run.rig.meter;
	const lines = layOut(accountLines(run.records, pulsesPerLitre), WIDTH);
	const { truth } = run;
	const times = [...struck].map(([fault, atS]) => `${fault} at ${clock(1000 * atS)}`);
	const row = (name: string, value: string) => plain(`${name.padEnd(32)}${value.padStart(9)}`);
	return [
		heading(`    TIME ${"WHAT HAPPENED".padEnd(38)}  WHY`),
		...lines.map((text): Marked => ({ mark: text.includes("TRIP ") ? "trip" : "plain", text })),
		plain(""),
		heading("SUMMARY"),
		...wrapped(`Struck: ${times.length === 0 ? "nothing" : times.join(", ")}.`),
		plain(`All mended at ${clock(1000 * mendedS)}, and the crew at work from then on.`),
		plain(`Outcome: ${outcomeOf(run)}.`),
		row("Pump on, h", (truth.pumpOnSeconds / 3_600).toFixed(3)),
		row("Litres through the pump", truth.litresThroughPump.toFixed(1)),
		row("Litres spilled", truth.litresSpilled.toFixed(3)),
		row("Free water past the bowl, mL", truth.freeWaterPastBowlMl.toFixed(3)),
		row("Pump run dry, priming too, s", truth.dryPumpSeconds.toFixed(1)),
		row("Lowest supply, V", truth.supplyVoltsMin.toFixed(2)),
		row("Motor case at its hottest, °C", truth.motorCaseMaxC.toFixed(0)),
		plain(""),
		heading(`VIOLATIONS: ${failures.length}`),
		...failures.map(
			({ invariant, atSeconds }): Marked => ({
				mark: "broken",
				text: `at ${clock(1000 * atSeconds)}: ${invariant}`,
			}),
		),
	];
}
