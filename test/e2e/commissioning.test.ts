// The whole procedure of commissioning, played by the bench's careful person: from a box of which
// nothing is proven to an order that nobody attends. On the model board each piece of evidence is
// held to the truth that the controller never sees; the stock image on the emulated board, in
// lock-step, must come to the same.

import { beforeAll, describe, expect, it } from "vitest";
import { stepRows } from "../../firmware/commission/step-rows.ts";
import type { StateName } from "../../firmware/cycle/effects.ts";
import type { LogRecord } from "../../firmware/log/record.ts";
import { outcomeOf, sumUp } from "../../sim/bench/judge.ts";
import { findScenario, loadScenario } from "../../sim/bench/load.ts";
import { type ModelRun, runScenario } from "../../sim/bench/runner.ts";
import type { BenchRun } from "../../sim/bench/session.ts";
import { DeadMan } from "../../sim/dead-man.ts";
import type { EmulatedRun } from "../../sim/emulated-board/lockstep.ts";
import { runInProcess } from "../../sim/emulated-board/process.ts";
import type { RigModel } from "../../sim/rig.ts";
import { pins, root } from "../stories/world.ts";

const child = `${root}/.build/sim/emulated-board/child.js`;
const { scenario, rig } = loadScenario(findScenario(root, "commissioning"));
/** Ends what hangs; on a core of its own it takes under four minutes. */
const WALL_MS_MAX = 1_800_000;
const TICK_MS = 100;

type Proof = Extract<LogRecord, { kind: "proof" }>;
const proofsOf = ({ records }: BenchRun): Proof[] =>
	records.flatMap((record) => (record.kind === "proof" ? [record] : []));
const valuesOf = (run: BenchRun, step: string) =>
	proofsOf(run).find((proof) => proof.step === step && proof.passed)?.values ?? {};
const numberOf = (run: BenchRun, step: string, name: string): number =>
	Number(valuesOf(run, step)[name] ?? Number.NaN);

/** What really happened, as the steps go by. */
class Truth {
	/** In the first run, from the motor's first turn until fuel flows and stays, s. */
	primeSeconds = 0;
	private isPrimed = false;
	readonly loadAmps: number[] = [];
	pulses = 0;
	litres = 0;
	pulsesThen = 0;
	litresThen = 0;
	private turnsAtS = Number.NaN;

	readonly look = (model: RigModel, doing: StateName): void => {
		const { motor, path, sensors, elapsedS } = model;
		if (motor.powered && Number.isNaN(this.turnsAtS)) this.turnsAtS = elapsedS;
		// The bowl was filled by hand: what it holds goes first, then the air behind it.
		const flows = path.pumpedM3 * 10 * 3.6e6 > 50;
		this.isPrimed ||= doing === "polishing";
		if (motor.powered && !flows && !this.isPrimed) this.primeSeconds = elapsedS - this.turnsAtS;
		if (flows && motor.speed > 0.99) this.loadAmps.push(motor.amps);
		if (path.measuredLitres > this.litresThen) {
			this.litres += path.measuredLitres - this.litresThen;
			this.pulses += sensors.pulses - this.pulsesThen;
		}
		this.litresThen = path.measuredLitres;
		this.pulsesThen = sensors.pulses;
	};
}

/** From the last of so many edges to K2 open, by the circuit alone, ms. */
function releaseMs(edges: number): number {
	const circuit = new DeadMan();
	for (let i = 0; i < edges; i += 1) {
		circuit.drive(i % 2 === 0);
		circuit.step(TICK_MS / 1_000);
	}
	expect(circuit.holds).toBe(true);
	let ms = 0;
	for (; circuit.holds; ms += 10) circuit.step(0.01);
	return ms + TICK_MS;
}

const median = (values: readonly number[]): number =>
	[...values].sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? Number.NaN;

/** All steps of the rig, each passed at its first try, and the order taken afterwards. */
function holdsWhole(run: BenchRun): void {
	const passed = proofsOf(run).map(({ step, passed: did, reasons }) => [step, did, reasons]);
	expect(passed.filter(([, did]) => did === false)).toEqual([]);
	const own = Object.entries(stepRows).filter(([, { needs }]) =>
		needs.every((need) => rig.sensors.includes(need)),
	);
	expect(passed.map(([step]) => step)).toEqual(own.map(([step]) => step));
	expect(run.stepsDue).toEqual([]);
	expect(run.violations).toEqual([]);
	expect(sumUp("commissioning", run, 0).expectations.filter(({ held }) => !held)).toEqual([]);
	const runs = run.records.flatMap((record) => (record.kind === "run-begin" ? [record] : []));
	expect(runs.at(-1)?.order.attended).toBe(false);
	expect(runs.filter(({ order }) => !order.attended)).toHaveLength(1);
	expect(outcomeOf(run)).toBe("finished");
	const refused = run.records.flatMap((record) =>
		record.kind === "order-refused" || record.kind === "proof-refused" ? [record.reasons] : [],
	);
	expect(refused).toEqual([]);
}

describe("on the model board", () => {
	const truth = new Truth();
	let run: ModelRun;

	beforeAll(() => {
		run = runScenario(scenario, rig, pins, { afterStep: truth.look });
	}, WALL_MS_MAX);

	it("proves every step of the rig, and then takes an order that nobody attends", () => {
		holdsWhole(run);
	});

	it("times the dead-man as its circuit lets go, within two ticks", () => {
		const told = numberOf(run, "dead-man", "releaseMs");
		const [afterHigh, afterLow] = [releaseMs(301), releaseMs(300)];
		expect(told).toBeGreaterThanOrEqual(Math.min(afterHigh, afterLow) - 2 * TICK_MS);
		expect(told).toBeLessThanOrEqual(Math.max(afterHigh, afterLow) + 2 * TICK_MS);
	});

	it("times the prime: fuel that stays, so later than the first by what it is watched for", () => {
		const told = numberOf(run, "prime", "primeSeconds");
		expect(truth.primeSeconds).toBeGreaterThan(3);
		expect(told).toBeGreaterThan(truth.primeSeconds);
		const { primedForMs } = rig.setpoints;
		expect(told).toBeLessThan(truth.primeSeconds + primedForMs / 1_000 + 1.5);
		expect(numberOf(run, "prime", "tries")).toBe(1);
	});

	it("reads the motor's current, beside a clamp", () => {
		const amps = median(truth.loadAmps);
		expect(Math.abs(numberOf(run, "prime", "loadAmps") - amps)).toBeLessThan(0.05);
		expect(Math.abs(numberOf(run, "amps", "motorAmps") - amps)).toBeLessThan(0.05);
		expect(numberOf(run, "prime", "airAmps")).toBeLessThan(numberOf(run, "prime", "loadAmps"));
	});

	it("finds the meter's factor within twice its own uncertainty of the truth", () => {
		const told = numberOf(run, "meter", "pulsesPerLitre");
		const pct = numberOf(run, "meter", "uncertaintyPct");
		const real = truth.pulses / truth.litres;
		expect(pct).toBeLessThan(1);
		expect(Math.abs(told / real - 1) * 100).toBeLessThanOrEqual(2 * pct);
	});

	it("reads nought, volts, levels and degrees as they are", () => {
		expect(Math.abs(numberOf(run, "vacuum-zero", "vacuumKpa"))).toBeLessThan(0.3);
		expect(Math.abs(numberOf(run, "supply", "supplyVolts") - 12.8)).toBeLessThan(0.1);
		expect(Math.abs(numberOf(run, "levels", "levelFrom") - 180 / 310)).toBeLessThan(0.02);
		expect(Math.abs(numberOf(run, "thermometers", "fuelC") - 15)).toBeLessThan(0.5);
	});

	it("finds the clean element as the rig file has it", () => {
		const off = Math.abs(numberOf(run, "element", "cleanKpa") - rig.element.cleanKpa);
		expect(off).toBeLessThan(0.5);
	});

	it("tells what the probe was dipped into", () => {
		const { airKohm, condensateKohm, saltKohm } = valuesOf(run, "probe");
		expect(airKohm).toBe("none");
		expect(Math.abs(Number(condensateKohm) - 100)).toBeLessThan(10);
		expect(Number(saltKohm)).toBeLessThan(1);
	});
});

describe("on the emulated board", () => {
	let run: EmulatedRun;

	beforeAll(async () => {
		run = await runInProcess({ scenario, rig, pins, seed: scenario.seed }, child);
	}, WALL_MS_MAX);

	it("proves every step of the rig, and then takes an order that nobody attends", () => {
		expect(run.board).toBe("emulated");
		holdsWhole(run);
	});

	it("times the dead-man by the board's own pins", () => {
		const told = numberOf(run, "dead-man", "releaseMs");
		expect(Math.abs(told - releaseMs(301))).toBeLessThanOrEqual(500);
		expect(told).toBeLessThanOrEqual(1_700);
	});

	it("finds the meter's factor that the rig file has", () => {
		const pct = numberOf(run, "meter", "uncertaintyPct");
		const told = numberOf(run, "meter", "pulsesPerLitre");
		expect(Math.abs(told / rig.meter.pulsesPerLitre - 1) * 100).toBeLessThanOrEqual(0.5 + 2 * pct);
	});
});
