// What a run looked like, for its picture: the truth, and beside it what the controller's tick made
// of its readings. Kept in stretches of whole ticks with the least and the greatest of each, so
// that a run of any length takes little room and a spike of one tick stays. Pure; imports the
// firmware's controller for its stages, and types.

import type { StateName } from "../../firmware/cycle/effects.ts";
import type { Fault } from "../faults.ts";
import type { RigModel } from "../rig.ts";
import type { Deed } from "./crew.ts";
import { SensedEar } from "./sensed-ear.ts";

export const tracedNames = [
	"flowLph",
	"vacuumKpa",
	"bowlWaterMl",
	"motorAmps",
	"supplyVolts",
] as const;
export type TracedName = (typeof tracedNames)[number];

/** By stretch; null where there was no number. */
export interface Extremes {
	readonly min: ReadonlyArray<number | null>;
	readonly max: ReadonlyArray<number | null>;
}

export interface SensedExtremes extends Extremes {
	/** Why there was no number at some time of the stretch; null where there was one all along. */
	readonly unknown: ReadonlyArray<string | null>;
}

/** A state of the controller, or that it completes no tick. */
export type Doing = StateName | "dead";

/** Plain JSON: an emulated run hands it from process to process. */
export interface RunTrace {
	readonly stretchMs: number;
	readonly truth: Readonly<Record<TracedName, Extremes>>;
	/** Of the bowl: the probe, 1 while it reads wet and 0 while dry. */
	readonly sensed: Readonly<Record<TracedName, SensedExtremes>>;
	/** When the controller was about something else. */
	readonly doing: ReadonlyArray<{ readonly fromMs: number; readonly state: Doing }>;
	readonly deeds: readonly Deed[];
	/** Until when it lasted; null for one that is there at the end. */
	readonly faults: ReadonlyArray<{ fault: Fault; fromMs: number; toMs: number | null }>;
}

/** Stretches from which on they are joined in twos; the picture is some 700 points wide. */
export const STRETCHES_MAX = 1_080;
const NO_TICK = "no tick";

/** NaN stands for no number. */
class Series {
	min: number[] = [];
	max: number[] = [];
	unknown: Array<string | null> = [];

	/** @param into the stretch that it belongs to, the last one or a new one */
	put(value: number | string, into: number): void {
		const number = typeof value === "number" ? value : Number.NaN;
		const why = typeof value === "number" ? null : value;
		if (into === this.min.length) {
			this.min.push(number);
			this.max.push(number);
			this.unknown.push(why);
			return;
		}
		this.min[into] = least(this.min[into], number);
		this.max[into] = greatest(this.max[into], number);
		this.unknown[into] = why ?? this.unknown[into] ?? null;
	}

	joinTwos(): void {
		this.min = inTwos(this.min, least);
		this.max = inTwos(this.max, greatest);
		this.unknown = inTwos(this.unknown, (a, b) => b ?? a ?? null);
	}

	get extremes(): SensedExtremes {
		const numbers = (values: number[]) =>
			values.map((value) => (Number.isNaN(value) ? null : value));
		return { min: numbers(this.min), max: numbers(this.max), unknown: this.unknown };
	}
}

/** Of two, either of which may be none. */
function least(a = Number.NaN, b = Number.NaN): number {
	return b < a || Number.isNaN(a) ? b : a;
}

function greatest(a = Number.NaN, b = Number.NaN): number {
	return b > a || Number.isNaN(a) ? b : a;
}

function inTwos<T>(values: readonly T[], join: (a: T | undefined, b: T | undefined) => T): T[] {
	const half = Math.ceil(values.length / 2);
	return Array.from({ length: half }, (_, i) => join(values[2 * i], values[2 * i + 1]));
}

const seriesOfAll = (): Record<TracedName, Series> => ({
	flowLph: new Series(),
	vacuumKpa: new Series(),
	bowlWaterMl: new Series(),
	motorAmps: new Series(),
	supplyVolts: new Series(),
});

export class RunRecorder {
	private readonly tickMs: number;
	private readonly truth = seriesOfAll();
	private readonly sensed = seriesOfAll();
	private readonly doing: Array<{ fromMs: number; state: Doing }> = [];
	private readonly faults: Array<{ fault: Fault; fromMs: number; toMs: number | null }> = [];
	private readonly deeds: Deed[] = [];
	private ticksPerStretch = 1;
	private ticks = 0;
	private litresBefore: number;
	/** Emptied at each tick's end. */
	private readonly ear = new SensedEar();

	constructor(model: RigModel, tickMs: number) {
		this.tickMs = tickMs;
		this.litresBefore = model.path.truth.litresThroughPump;
	}

	/** For the controller whose run is recorded. */
	readonly stages = this.ear.stages;

	/** To be called when the rig has been stepped to the end of the tick that began at `nowMs`. */
	take(model: RigModel, state: Doing, deeds: readonly Deed[], nowMs: number): void {
		const { path } = model;
		const into = this.stretch();
		this.ticks += 1;
		const { litresThroughPump } = path.truth;
		const hours = this.tickMs / 3_600_000;
		this.truth.flowLph.put((litresThroughPump - this.litresBefore) / hours, into);
		this.litresBefore = litresThroughPump;
		this.see(model, into);
		this.hear(into);
		if (this.doing.at(-1)?.state !== state) this.doing.push({ fromMs: nowMs, state });
		for (const deed of deeds.slice(this.deeds.length)) {
			this.deeds.push(deed);
			if (deed.kind === "fault") {
				this.faults.push({ fault: deed.fault, fromMs: deed.atMs, toMs: null });
			}
		}
		for (const one of this.faults) {
			if (one.toMs === null && !model.has(one.fault)) one.toMs = nowMs + this.tickMs;
		}
	}

	/** To be called within a tick as well, where the rig is stepped more often: a spike is short. */
	look(model: RigModel): void {
		this.see(model, this.stretch());
	}

	/** The one that the present tick belongs to. Stretches grow before there are too many. */
	private stretch(): number {
		const into = Math.floor(this.ticks / this.ticksPerStretch);
		if (into < STRETCHES_MAX) return into;
		for (const name of tracedNames) {
			this.truth[name].joinTwos();
			this.sensed[name].joinTwos();
		}
		this.ticksPerStretch *= 2;
		return Math.floor(this.ticks / this.ticksPerStretch);
	}

	private see({ path, motor, supply, isolatorClosed }: RigModel, into: number): void {
		this.truth.vacuumKpa.put(path.vacuumKpa, into);
		this.truth.bowlWaterMl.put(path.bowl.sumpWaterM3 * 1e6, into);
		this.truth.motorAmps.put(motor.amps, into);
		const isFed = isolatorClosed && !supply.fuseMelted;
		this.truth.supplyVolts.put(isFed ? supply.volts : 0, into);
	}

	private hear(into: number): void {
		const { sensed } = this;
		const { heard } = this.ear;
		sensed.flowLph.put(heard?.flowLph ?? NO_TICK, into);
		sensed.vacuumKpa.put(heard?.vacuumKpa ?? NO_TICK, into);
		sensed.motorAmps.put(heard?.motorAmps ?? NO_TICK, into);
		sensed.supplyVolts.put(heard?.supplyVolts ?? NO_TICK, into);
		const probe = heard?.probe ?? NO_TICK;
		sensed.bowlWaterMl.put(probe === "wet" ? 1 : probe === "dry" ? 0 : probe, into);
		this.ear.heard = null;
	}

	get trace(): RunTrace {
		const all = (series: Record<TracedName, Series>) => ({
			flowLph: series.flowLph.extremes,
			vacuumKpa: series.vacuumKpa.extremes,
			bowlWaterMl: series.bowlWaterMl.extremes,
			motorAmps: series.motorAmps.extremes,
			supplyVolts: series.supplyVolts.extremes,
		});
		return {
			stretchMs: this.ticksPerStretch * this.tickMs,
			truth: all(this.truth),
			sensed: all(this.sensed),
			doing: this.doing,
			deeds: this.deeds,
			faults: this.faults,
		};
	}
}
