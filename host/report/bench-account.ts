// The account of a bench run: the log, the summary with the simulator's truth beside it, and what
// the scenario expected.

import { hours, litres, rigTally } from "../../firmware/totals.ts";
import type { BenchResult } from "../../sim/bench/judge.ts";
import type { BenchRun } from "../../sim/bench/session.ts";
import { accountLines, clock, layOut, openTrips, wrap } from "./account.ts";

const WIDTH = 80;
export const boardWords = { model: "Simulated board", emulated: "Emulated board" } as const;

/** How a line is meant, for whoever prints in colour. */
export type Mark = "title" | "plain" | "trip" | "held" | "broken" | "heading";
export interface Marked {
	readonly mark: Mark;
	readonly text: string;
}

/** @param changed what of the rig is not as its file says, in words */
export function benchAccount(
	run: BenchRun,
	result: BenchResult,
	changed: readonly string[] = [],
): Marked[] {
	const { scenario, rig } = run;
	const { pulsesPerLitre } = rig.meter;
	const log = layOut(accountLines(run.records, pulsesPerLitre), WIDTH);
	const open = openTrips(run.state.cycle.context.trips.map(({ code }) => code));
	const plain = (text: string): Marked => ({ mark: "plain", text });
	const hashes =
		run.hashes === undefined
			? []
			: [`Pin edges    ${run.hashes.edges}`, `Serial bytes ${run.hashes.bytes}`];
	return [
		plain(`Seed ${run.seed}, scenario ${result.scenario}`),
		...wrap(scenario.title, WIDTH).map((text): Marked => ({ mark: "title", text })),
		...wrap(scenario.story, WIDTH).map(plain),
		plain(""),
		plain(`Rig: ${rig.rig}${rig.invented ? " (invented)" : ""}.`),
		...changed.flatMap((text) => wrap(text, WIDTH)).map(plain),
		plain(`${boardWords[run.board]}. The pump is simulated: no hardware, no fuel, no network.`),
		...hashes.map(plain),
		plain(""),
		{ mark: "heading", text: `    TIME ${"WHAT HAPPENED".padEnd(38)}  WHY` },
		...log.map((text): Marked => ({ mark: text.includes("TRIP ") ? "trip" : "plain", text })),
		...(run.hung
			? [plain("         The log ends here: the controller completed no further tick.")]
			: []),
		...(open.length > 0 ? [plain(""), { mark: "heading", text: "STILL OPEN" } as const] : []),
		...open.flatMap((text) => wrap(text, WIDTH)).map(plain),
		plain(""),
		{ mark: "heading", text: `SUMMARY${" ".repeat(28)}LOGGED        TRUTH` },
		...summary(run, result).map(plain),
		plain(""),
		{ mark: "heading", text: "EXPECTED OF THIS SCENARIO" },
		...result.expectations.map(
			({ text, held, found }): Marked => ({
				mark: held ? "held" : "broken",
				text: `${held ? "held  " : "BROKEN"}  ${text} (found: ${found})`,
			}),
		),
	];
}

function summary(run: BenchRun, result: BenchResult): string[] {
	const { truth, logged } = result;
	const { records, rig } = run;
	const order = records.find((record) => record.kind === "run-begin")?.order;
	const tank = order === undefined ? undefined : run.state.totals.tanks[order.tank];
	const turnovers =
		order === undefined || tank === undefined ? 0 : litres(tank, rig) / order.turnoverLitres;
	const base = order === undefined ? "Turnovers" : `Turnovers of ${order.turnoverLitres} L`;
	const caughtMl = records.reduce((sum, r) => sum + (r.kind === "drained" ? r.waterMl : 0), 0);
	const inBowlMl = run.waterInBowlMl;
	const trueHours = truth.pumpOnSeconds / 3600;
	const trueTurnovers = order === undefined ? 0 : truth.litresThroughPump / order.turnoverLitres;
	const volts = records.flatMap((r) =>
		r.kind === "sample" && typeof r.supplyVolts === "number" ? [r.supplyVolts] : [],
	);
	const lowest = volts.length === 0 ? "none" : Math.min(...volts).toFixed(2);
	const row = (name: string, log: string, real: string) =>
		`${name.padEnd(32)}${log.padStart(9)}${real.padStart(13)}`.trimEnd();
	return [
		row("Outcome", result.outcome, ""),
		row("Time, start to end", clock(result.simulatedSeconds * 1000), ""),
		row("Pump on, h", logged.hours.toFixed(3), trueHours.toFixed(3)),
		row("Litres pumped", logged.litres.toFixed(1), truth.litresThroughPump.toFixed(1)),
		...(order === undefined || order.work === "polish"
			? [row(base, turnovers.toFixed(2), trueTurnovers.toFixed(2))]
			: []),
		row("Water drained, mL", caughtMl.toFixed(0), ""),
		row("Water left in the bowl, mL", "", inBowlMl.toFixed(0)),
		row("Free water past the bowl, mL", "", truth.freeWaterPastBowlMl.toFixed(1)),
		row("Charge drawn by the pump, Ah", drawnAh(run).toFixed(2), run.ampHours.toFixed(2)),
		row("Lowest supply, V", lowest, truth.supplyVoltsMin.toFixed(2)),
		row("Pump run dry, priming too, s", "", truth.dryPumpSeconds.toFixed(1)),
		row("Motor case at its hottest, °C", "", truth.motorCaseMaxC.toFixed(0)),
	];
}

/** Charge from the logged samples: current held from one to the next while the motor ran. */
function drawnAh(run: BenchRun): number {
	const amps = run.records.flatMap((record) =>
		record.kind === "sample" && typeof record.motorAmps === "number" ? [record.motorAmps] : [],
	);
	if (amps.length === 0) return 0;
	const mean = amps.reduce((sum, value) => sum + value, 0) / amps.length;
	return mean * hours(rigTally(run.state.totals));
}
