// A run of which only samples are left, one a second, through today's logic: a hint and no proof.
// The samples are held at the cadence of ticks, all that they do not tell is assumed to be well,
// and what comes out is one trip against another. It ends with the first trip. Pure.

import { ALL_OFF, type Outputs } from "../../firmware/board/port.ts";
import { InputError } from "../../firmware/config/input-error.ts";
import { notFitted } from "../../firmware/config/optional-sensors.ts";
import { createController } from "../../firmware/controller.ts";
import type { Command } from "../../firmware/cycle/commands.ts";
import type { Order } from "../../firmware/cycle/orders.ts";
import type { TripCode } from "../../firmware/cycle/trips.ts";
import type { LogRecord } from "../../firmware/log/record.ts";
import type { Run } from "../archive/runs.ts";
import type { Parts } from "./recorded-ticks.ts";
import { readingsOf, type Sample } from "./sample-readings.ts";

const TICK_MS = 100;
/** Before the order: every input has reported, and the probe both ways. */
const WARM_UP_MS = 5_000;
/** The same trip came when it came within so long, ms. */
const WITHIN_MS = 5_000;
/** Samples come once a second: further apart, the motor was off or something is missing. */
const MISSING_MS = 2_500;
/** Two starts no further apart are the same one, ms. */
const SAME_START_MS = 10_000;
/** How often whoever attends presses the button, and for how long. */
const PRESS = { everyMs: 240_000, forMs: 300 };

/** Trips that flow, vacuum, volts, amps and the fuel's temperature tell. */
const TELLABLE: ReadonlySet<TripCode> = new Set([
	...(["dry-run", "prime-failed", "suction-blocked", "restriction-high", "overcurrent"] as const),
	...(["no-current", "supply-low", "supply-high", "too-cold", "time-limit"] as const),
]);

export interface TripAt {
	readonly code: string;
	readonly atSeconds: number;
	readonly isTellable: boolean;
}

export interface Approximated {
	readonly ticks: number;
	readonly simulatedMs: number;
	/** What today's logic writes, with the times of the log. */
	readonly records: readonly LogRecord[];
	/** The first of the log; null when none came. */
	readonly tripThen: TripAt | null;
	readonly tripNow: TripAt | null;
	readonly hasSameTrip: boolean;
	/** From when on today's logic pumps where the log has no samples; null: it keeps step. */
	readonly outOfStepSeconds: number | null;
	readonly assumed: readonly string[];
}

/**
 * @param records of the run's boot, from the run's beginning on
 * @throws InputError when no sample of the run is left
 */
export function approximate(
	run: Run,
	records: readonly LogRecord[],
	{ rig: whole, pins }: Parts,
	file: string,
): Approximated {
	const own = records.filter(({ seq }) => seq <= (run.end?.seq ?? Number.POSITIVE_INFINITY));
	const samples = own.filter((record): record is Sample => record.kind === "sample");
	const [first] = samples;
	const last = samples.at(-1);
	if (first === undefined || last === undefined) {
		const found = `no sample of run ${run.begin.seq}: the log let them go, or nothing was pumped`;
		throw new InputError([{ file, key: "RUN", found, allowed: "a run with samples, or a window" }]);
	}
	const trip = own.find((record) => record.kind === "trip");
	const tripThen = trip === undefined ? null : tripAt(trip);
	const tells = tripThen?.isTellable === true;
	// As far as what is known of it goes.
	const endMs = (trip?.monoMs ?? last.monoMs) + (tells ? WITHIN_MS : 0);

	const rig = {
		...whole,
		sensors: whole.sensors.filter(
			(name) =>
				(name === "vacuum" && first.vacuumKpa !== "not-fitted") ||
				(name === "fuel-temperature" && first.fuelC !== "not-fitted"),
		),
	};
	const lacks = notFitted(rig.sensors);
	const controller = createController(rig, pins);
	let { state } = controller.boot(0);
	let outputs: Outputs = ALL_OFF;
	const written: LogRecord[] = [];
	const feed = new SampleFeed(samples, rig.supply.internalOhm);
	/** From this clock to the log's; known when the run begins. */
	let offsetMs = run.begin.monoMs - WARM_UP_MS;
	let ticks = 0;
	let tripNow: TripAt | null = null;
	let wasOn = false;
	let outOfStepSeconds: number | null = null;
	for (let nowMs = TICK_MS; nowMs + offsetMs <= endMs && tripNow === null; nowMs += TICK_MS) {
		if (state.motorOn && !wasOn) offsetMs = feed.startNear(nowMs + offsetMs) - nowMs;
		wasOn = state.motorOn;
		if (wasOn && !feed.hasSampleAt(nowMs + offsetMs)) {
			// What it would have pumped there nobody has seen.
			outOfStepSeconds = (nowMs + offsetMs) / 1000;
			break;
		}
		const commands = nowMs === WARM_UP_MS ? [commandOf(run.order)] : [];
		const readings = readingsOf(pins, lacks, {
			...feed.at(nowMs + offsetMs, state.motorOn),
			motorOn: state.motorOn,
			buttonPressed: nowMs > WARM_UP_MS && nowMs % PRESS.everyMs < PRESS.forMs,
			probePlus: outputs["probe-plus"],
			probeMinus: outputs["probe-minus"],
		});
		const log = { durableSeq: state.nextSeq - 1, ageMs: 0, failed: false };
		const inputs = { nowMs, readings, commands, commissioned: false, log };
		const result = controller.tick(state, inputs);
		state = result.state;
		outputs = result.outputs;
		ticks += 1;
		for (const record of result.records) {
			if (record.kind === "run-begin") offsetMs = run.begin.monoMs - nowMs;
			const dated = { ...record, boot: run.begin.boot, monoMs: nowMs + offsetMs };
			written.push(dated);
			if (dated.kind === "trip") tripNow ??= tripAt(dated);
		}
	}
	return {
		ticks,
		simulatedMs: ticks * TICK_MS,
		records: written.filter(({ kind }) => kind !== "boot"),
		tripThen,
		tripNow,
		hasSameTrip: outOfStepSeconds === null && isSameTrip(tripThen, tripNow),
		outOfStepSeconds,
		assumed: [
			...assumptions(whole.sensors.length - rig.sensors.length, run.order),
			...(tripThen !== null && !tells
				? [
						`The trip that came, ${tripThen.code}, is one that samples cannot tell: ` +
							"played as far as that.",
					]
				: []),
		],
	};
}

function assumptions(left: number, { work }: Order): string[] {
	return [
		"Samples of one a second stand for ten ticks each; while the motor is off all is still.",
		"The probe is dry, the stop button released, the board answers.",
		`${left === 0 ? "All" : `${left}`} sensors that no sample tells of count as not fitted.`,
		"A person attends and presses the box's button; nothing is held from before the order.",
		...(work === "transfer" ? ["The transfer is played as a polish of its source."] : []),
	];
}

const tripAt = (record: LogRecord): TripAt => ({
	code: record.kind === "trip" ? record.code : "",
	atSeconds: record.monoMs / 1000,
	isTellable: record.kind === "trip" && TELLABLE.has(record.code),
});

function isSameTrip(then: TripAt | null, now: TripAt | null): boolean {
	if (then === null || now === null) return then === now;
	return (
		then.isTellable &&
		then.code === now.code &&
		Math.abs(then.atSeconds - now.atSeconds) * 1000 <= WITHIN_MS
	);
}

/** The order once more, attended. */
function commandOf(order: Order): Command {
	const { id, work, tank, goalLitres, goalHours, sweep, dilution } = order;
	const attended = true;
	if (work === "sweep" && sweep !== null) {
		const { dryBursts, standSeconds } = sweep;
		return { type: "sweep", id, sweep: { tank, dryBursts, standSeconds, attended } };
	}
	const goal =
		goalLitres !== null
			? { litres: goalLitres }
			: goalHours !== null
				? { hours: goalHours }
				: dilution !== null
					? { targetDilution: dilution.target }
					: { turnovers: 1 };
	const sweepFirst = sweep !== null;
	return { type: "polish", id, polish: { tank, ...goal, sweepFirst, attended } };
}

/** Samples in their order, looked up as the time goes on. */
class SampleFeed {
	private readonly samples: readonly Sample[];
	private readonly restVolts: number;
	private next = 0;
	private pulses = 0;
	private countedMs: number | null = null;

	constructor(samples: readonly Sample[], internalOhm: number) {
		this.samples = samples;
		const [first] = samples;
		const volts = numberIn(first?.supplyVolts) ?? 12.6;
		this.restVolts = volts + (numberIn(first?.motorAmps) ?? 0) * internalOhm;
	}

	/** The sample that stands for that time of the log, and what the meter has counted. */
	at(atMs: number, motorOn: boolean): { sample: Sample; pulses: number; restVolts: number } {
		const sample = this.nearest(atMs);
		if (motorOn) this.pulses += this.counted(atMs) - this.counted(this.countedMs ?? atMs - TICK_MS);
		this.countedMs = atMs;
		return { sample, pulses: this.pulses, restVolts: this.restVolts };
	}

	hasSampleAt(atMs: number): boolean {
		return Math.abs(atMs - this.nearest(atMs).monoMs) <= MISSING_MS;
	}

	/** When the log's motor was switched on, where that was near; else the time itself. */
	startNear(atMs: number): number {
		const { samples } = this;
		const start = samples.find(({ monoMs }, i) => {
			const before = samples[i - 1]?.monoMs ?? Number.NEGATIVE_INFINITY;
			return monoMs - before > MISSING_MS && Math.abs(monoMs - atMs) <= SAME_START_MS;
		});
		return start?.monoMs ?? atMs;
	}

	private nearest(atMs: number): Sample {
		const { samples } = this;
		while ((samples[this.next + 1]?.monoMs ?? Number.POSITIVE_INFINITY) <= atMs) this.next += 1;
		const [before, after] = [samples[this.next] as Sample, samples[this.next + 1]];
		// Half a second after one the next one is nearer.
		return after !== undefined && after.monoMs - atMs < atMs - before.monoMs ? after : before;
	}

	/** The run's count at that time: evenly from one sample to the next. */
	private counted(atMs: number): number {
		const { samples, next } = this;
		const i = (samples[next]?.monoMs ?? 0) <= atMs ? next : Math.max(0, next - 1);
		const [before, after] = [samples[i] as Sample, samples[i + 1]];
		if (after === undefined || atMs <= before.monoMs) return before.run.pulses;
		const share = Math.min(1, (atMs - before.monoMs) / (after.monoMs - before.monoMs));
		return before.run.pulses + share * (after.run.pulses - before.run.pulses);
	}
}

const numberIn = (value: number | string | undefined): number | null =>
	typeof value === "number" ? value : null;
