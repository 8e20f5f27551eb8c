// Puts the stretches of a kept run through today's logic, first to last, and finds the first
// difference with the readings around it. Time is measured by the caller. Imports the controller,
// whose sense stage it looks over the shoulder of.

import { outputNames } from "../../firmware/board/port.ts";
import { messageOf } from "../../firmware/config/input-error.ts";
import { type ControllerState, createController } from "../../firmware/controller.ts";
import type { LogRecord } from "../../firmware/log/record.ts";
import { HUNG } from "../../firmware/log/tape.ts";
import type { Sensed } from "../../firmware/sense/sensed.ts";
import {
	type Difference,
	digestsIn,
	isEqual,
	type RecordedTicks,
	replay,
} from "../../sim/bench/replay.ts";
import { SensedEar } from "../../sim/bench/sensed-ear.ts";
import type { DifferenceAnswer, ExactAnswer } from "./answer.ts";
import type { Parts } from "./recorded-ticks.ts";
import { misfit } from "./state-shape.ts";

/** Readings that are shown: so long before the difference, and after it, ms. */
const BEFORE_MS = 2_000;
const AFTER_MS = 1_000;

/** Thrown where today's logic cannot begin in a recorded state: in words. */
export class Misfit extends Error {}

export interface DecidedAgain {
	readonly ticks: number;
	readonly simulatedMs: number;
	readonly difference: DifferenceAnswer | null;
	/** What today's logic writes, all stretches. */
	readonly records: readonly LogRecord[];
	readonly lacksSamples: boolean;
	/** Where today's logic hung with ticks left; null: it came to the end of each stretch. */
	readonly hungAt: ExactAnswer["hungAt"];
}

/** Makes today's controller; a test may have another one. */
export type MakeController = typeof createController;

/** @throws Misfit */
export function decideAgain(
	stretches: readonly RecordedTicks[],
	{ rig, pins }: Parts,
	make: MakeController = createController,
): DecidedAgain {
	const view = new SensedView();
	const controller = make(rig, pins, view.stages);
	const today = controller.boot(0).state;
	let ticks = 0;
	let simulatedMs = 0;
	let difference: DifferenceAnswer | null = null;
	let hungAt: ExactAnswer["hungAt"] = null;
	const records: LogRecord[] = [];
	for (const stretch of stretches) {
		const { begin, tape } = stretch;
		if (begin.type === "state") {
			const words = misfit(begin.state, today);
			if (words !== null) throw new Misfit(words);
			refuseStillborn(controller, stretch, begin.state);
		}
		view.begin();
		const replayed = replay(controller, stretch, ({ inputs }) => view.note(inputs.nowMs));
		ticks += replayed.ticks;
		if (tape.length > 0) simulatedMs += tape.nowMsAt(tape.length - 1) - tape.nowMsAt(0);
		records.push(...replayed.records);
		const boot = begin.type === "state" ? begin.state.boot : begin.recovery.boot;
		if (hungAt === null && replayed.hungAtMs !== null) {
			hungAt = { boot, atSeconds: replayed.hungAtMs / 1000 };
		}
		if (difference === null && replayed.difference !== null) {
			const found = replayed.difference;
			// Once more as far as that: now it is known what is to be looked at.
			view.begin(found.atMs);
			replay(controller, stretch, ({ inputs }) => view.note(inputs.nowMs));
			difference = { boot, ...told(found), readings: view.readings() };
		}
	}
	const lacksSamples = stretches.some((stretch) => digestsIn(stretch.records).length > 0);
	return { ticks, simulatedMs, difference, records, lacksSamples, hungAt };
}

/**
 * A state with the right names may still be one that nothing can be made of. A stop on trial, which
 * no statechart leaves unanswered, asks for all of it.
 */
function refuseStillborn(
	controller: ReturnType<MakeController>,
	{ tape }: RecordedTicks,
	state: ControllerState,
): void {
	if (tape.length === 0 || tape.levelsAt(0) === HUNG) return;
	try {
		const commands = [{ type: "stop", id: "trial" } as const];
		controller.tick(state, { ...tape.inputsAt(0), commands });
	} catch (error) {
		throw new Misfit(`the state: today's logic cannot go on from it: ${messageOf(error)}`);
	}
}

/** What the sense stage makes of the readings, tick by tick, around one moment. */
class SensedView {
	private aroundMs = Number.NaN;
	private kept: Array<{ readonly nowMs: number; readonly sensed: Sensed }> = [];
	private readonly ear = new SensedEar();
	readonly stages = this.ear.stages;

	/** @param aroundMs left out: nothing is kept */
	begin(aroundMs = Number.NaN): void {
		this.aroundMs = aroundMs;
		this.kept = [];
	}

	note(nowMs: number): void {
		const { aroundMs, ear } = this;
		if (!(nowMs >= aroundMs - BEFORE_MS && nowMs <= aroundMs + AFTER_MS)) return;
		if (ear.heard !== null) this.kept.push({ nowMs, sensed: ear.heard });
	}

	readings(): DifferenceAnswer["readings"] {
		return this.kept.map(({ nowMs, sensed }) => ({
			atSeconds: nowMs / 1000,
			sensed: Object.fromEntries(SHOWN.map((name) => [name, sensed[name]])),
		}));
	}
}

/** Of what is sensed, what stands for a sensor. */
const SHOWN = [
	...(["flowLph", "vacuumKpa", "bowlTapKpa", "supplyVolts", "motorAmps", "fuelC"] as const),
	...(["caseC", "levelFrom", "levelTo", "probe", "stop", "tray", "returnSeat"] as const),
	...(["tubeSeat", "pressureSwitch", "board", "beatMode", "pulses"] as const),
] satisfies Array<keyof Sensed>;

/** What differs, by names. */
function told({ tick, atMs, was, now }: Difference): Omit<DifferenceAnswer, "boot" | "readings"> {
	const isHung = was.levels === HUNG || now.levels === HUNG;
	const outputs = isHung
		? []
		: outputNames.flatMap((output, i) => {
				const [then, today] = [(was.levels >> i) & 1, (now.levels >> i) & 1];
				return then === today ? [] : [{ output, was: then === 1, now: today === 1 }];
			});
	return {
		tick,
		atSeconds: atMs / 1000,
		outputs,
		records: recordDifferences(was.records, now.records),
		hung: was.levels === now.levels || !isHung ? null : was.levels === HUNG ? "was" : "now",
	};
}

function recordDifferences(was: readonly LogRecord[], now: readonly LogRecord[]) {
	const found: DifferenceAnswer["records"] = [];
	for (let i = 0; i < Math.max(was.length, now.length); i += 1) {
		const [then, today] = [was[i], now[i]];
		if (isEqual(then, today)) continue;
		const kinds = { was: then?.kind ?? null, now: today?.kind ?? null };
		found.push({ ...kinds, fields: fieldsOf(then ?? {}, today ?? {}, "") });
	}
	return found;
}

/** Fields within fields by their path; `seq` and the like only where they are all that differs. */
function fieldsOf(
	was: object,
	now: object,
	prefix: string,
): DifferenceAnswer["records"][0]["fields"] {
	const keys = [...new Set([...Object.keys(was), ...Object.keys(now)])];
	return keys.flatMap((key) => {
		const [then, today]: [unknown, unknown] = [Reflect.get(was, key), Reflect.get(now, key)];
		if (isEqual(then, today)) return [];
		const field = `${prefix}${key}`;
		if (isPlain(then) && isPlain(today)) return fieldsOf(then, today, `${field}.`);
		return [{ field, was: then ?? null, now: today ?? null }];
	});
}

const isPlain = (value: unknown): value is object =>
	typeof value === "object" && value !== null && !Array.isArray(value);
