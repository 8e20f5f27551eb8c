// Work that begins by itself: once, as planned over the link, or weekly, by the rig file. A plan is
// due from its time on for its window, and begins when nothing stands against it: armed at the
// rig, on charge and above its volts where it asks for that, out of quiet hours, and all that an
// order from a person needs. What never came is told as missed. Without the time nothing is due,
// and quiet hours count as on. Pure; plain JSON; looked at once a second.

import type { Rig } from "./config/rig.ts";
import type { Command } from "./cycle/commands.ts";
import type { StandingName } from "./cycle/effects.ts";
import type { Present } from "./cycle/events.ts";
import type { HoldCause } from "./cycle/holds.ts";
import type { Work } from "./cycle/order-schemas.ts";
import { orderFrom, refusals, workRefusals } from "./cycle/orders.ts";
import type { Plan } from "./cycle/plan-schema.ts";
import type { Entry } from "./intake.ts";
import {
	type Clock,
	dateTimeMs,
	dateTimeText,
	isWithin,
	lastWeekly,
	localMs,
} from "./local-time.ts";
import type { RecordBody } from "./log/record.ts";

const HOUR_MS = 3_600_000;
const EVERY_MS = 1_000;
/** Occurrences of weekly plans that are remembered as ended: two weeks of the most there may be. */
export const ENDED_KEPT = 28;
/** Plans for once that may wait at a time. */
const PLANNED_MAX = 8;

export interface Planned {
	readonly id: string;
	readonly plan: Plan;
}

export interface Schedule {
	readonly clock: Clock | null;
	/** For once, and not ended yet. */
	readonly planned: readonly Planned[];
	/** Occurrences of weekly plans that have begun or were missed, the last ones. */
	readonly ended: readonly string[];
	readonly lookedMs: number;
	/** Why the plan that is due does not begin; null while none is due. */
	readonly waits: { readonly id: string; readonly reasons: readonly string[] } | null;
}

export function scheduleAtBoot(
	{ planned, ended }: Pick<Schedule, "planned" | "ended">,
	nowMs: number,
): Schedule {
	return { clock: null, planned, ended, lookedMs: nowMs - EVERY_MS, waits: null };
}

/** What of the night makes an order wait that nobody attends. */
export function quietCauses(rig: Rig, clock: Clock | null, nowMs: number): readonly HoldCause[] {
	const { quietHours } = rig.schedule;
	if (quietHours === undefined) return NONE;
	const local = localMs(clock, nowMs);
	if (local === null) return UNKNOWN;
	return isWithin(local, quietHours.from, quietHours.to) ? QUIET : NONE;
}

const NONE: readonly HoldCause[] = [];
const UNKNOWN: readonly HoldCause[] = ["time-unknown"];
const QUIET: readonly HoldCause[] = ["quiet-hours"];

/** Why a plan for once is refused; empty when it may wait for its time. */
function planRefusals(plan: Plan, rig: Rig, schedule: Schedule, nowMs: number): string[] {
	const reasons: string[] = [];
	const local = localMs(schedule.clock, nowMs);
	if (local === null) reasons.push("the time is unknown: set the clock first");
	else if (dateTimeMs(plan.at) <= local) {
		reasons.push(`${plan.at} is past: it is ${dateTimeText(local)}`);
	}
	if (schedule.planned.length >= PLANNED_MAX) reasons.push(`${PLANNED_MAX} plans wait already`);
	// What no night will change is said now, not then.
	return [...reasons, ...workRefusals(plan.work, rig, null)];
}

interface Due {
	readonly id: string;
	readonly work: Work;
	readonly atMs: number;
	readonly endsMs: number;
	readonly onCharge: boolean;
	readonly batteryVoltsMin: number | undefined;
}

/** Plans whose time has come and that have not ended, the earliest first. */
function dueAt({ planned, ended }: Schedule, rig: Rig, local: number): Due[] {
	const once = planned.map(({ id, plan }) => dueOf(id, plan, dateTimeMs(plan.at)));
	const weekly = rig.schedule.weekly.map((plan) => {
		const atMs = lastWeekly(plan.day, plan.at, local);
		return dueOf(`${plan.name} ${dateTimeText(atMs)}`, plan, atMs);
	});
	// A weekly plan's window that ended before is another week's.
	const open = weekly.filter(({ id, endsMs }) => !ended.includes(id) && endsMs + HOUR_MS > local);
	return [...once, ...open].filter(({ atMs }) => atMs <= local).sort((a, b) => a.atMs - b.atMs);
}

function dueOf(id: string, plan: Omit<Plan, "at">, atMs: number): Due {
	const { work, onCharge, batteryVoltsMin, windowHours } = plan;
	return { id, work, atMs, endsMs: atMs + windowHours * HOUR_MS, onCharge, batteryVoltsMin };
}

export interface Looked {
	readonly schedule: Schedule;
	/** Records of plans that ended, and the order that one of them has become. */
	readonly bodies: readonly Entry[];
}

export interface ScheduleInputs {
	readonly nowMs: number;
	readonly state: StandingName;
	/** Somebody has asked for something in this tick, or waits for its record. */
	readonly isBusy: boolean;
	/** Volts at rest, of a battery of 12 V, and whether it is being charged; null while unknown. */
	readonly restVolts: number | null;
	readonly onCharge: boolean | null;
	/** Gathered only when a plan is due. */
	readonly present: () => Present;
}

/** Most ticks: it was looked at within the second. */
export const isLookDue = ({ lookedMs }: Schedule, nowMs: number): boolean =>
	nowMs - lookedMs >= EVERY_MS;

/** @returns the same schedule while somebody asks for something, and while nothing is due */
export function lookAt(before: Schedule, rig: Rig, inputs: ScheduleInputs): Looked {
	const { nowMs } = inputs;
	if (inputs.isBusy) return { schedule: before, bodies: [] };
	const local = localMs(before.clock, nowMs);
	const due = local === null ? [] : dueAt(before, rig, local);
	if (local === null || due.length === 0) {
		const { clock, planned, ended } = before;
		// Written out field by field: spreading takes many times as long.
		return { schedule: { clock, planned, ended, lookedMs: nowMs, waits: null }, bodies: [] };
	}
	let schedule: Schedule = { ...before, lookedMs: nowMs, waits: null };
	const bodies: Entry[] = [];
	for (const plan of due) {
		const { id, work, endsMs } = plan;
		const reasons = [
			...conditionsOf(plan, inputs),
			...refusals(work, rig, inputs.state, inputs.present()),
		];
		if (endsMs <= local) {
			const why = reasons.length > 0 ? reasons : ["its window was over"];
			bodies.push({ body: { kind: "plan-ended", id, by: id, outcome: "missed", reasons: why } });
			schedule = without(schedule, id);
		} else if (reasons.length === 0) {
			const order = orderFrom(id, work, rig);
			bodies.push({ body: { kind: "plan-ended", id, by: id, outcome: "begun", reasons } });
			bodies.push({ body: { kind: "order", order }, wish: { type: "order", order } });
			return { schedule: without(schedule, id), bodies };
		} else schedule = { ...schedule, waits: schedule.waits ?? { id, reasons } };
	}
	return { schedule, bodies };
}

function conditionsOf(plan: Due, { restVolts, onCharge }: ScheduleInputs): string[] {
	const reasons: string[] = [];
	if (plan.onCharge && onCharge !== true) reasons.push("the battery is not being charged");
	const least = plan.batteryVoltsMin;
	if (least !== undefined && (restVolts === null || restVolts < least)) {
		const found = restVolts === null ? "unknown" : `at ${restVolts.toFixed(1)} V`;
		reasons.push(`the battery is ${found}; the plan wants ${least} V`);
	}
	return reasons;
}

const NOTHING_SAID: readonly RecordBody[] = [];

/**
 * Takes in what the link says of time and plans.
 * @returns the same schedule when nothing is said
 */
export function takePlans(
	before: Schedule,
	commands: readonly Command[],
	rig: Rig,
	nowMs: number,
): { schedule: Schedule; bodies: readonly RecordBody[] } {
	if (commands.length === 0) return { schedule: before, bodies: NOTHING_SAID };
	let schedule = before;
	const bodies: RecordBody[] = [];
	for (const command of commands) {
		const { id } = command;
		if (command.type === "set-clock") {
			schedule = { ...schedule, clock: { ...command.clock, atMs: nowMs } };
			bodies.push({ kind: "clock", id, clock: command.clock });
		} else if (command.type === "plan") {
			const { plan } = command;
			const reasons = planRefusals(plan, rig, schedule, nowMs);
			if (reasons.length > 0) bodies.push({ kind: "plan-refused", id, reasons });
			else {
				schedule = { ...schedule, planned: [...schedule.planned, { id, plan }] };
				bodies.push({ kind: "planned", id, plan });
			}
		} else if (command.type === "cancel-plan") {
			const { planId } = command;
			if (schedule.planned.some((plan) => plan.id === planId)) {
				schedule = without(schedule, planId);
				const outcome = "cancelled";
				bodies.push({ kind: "plan-ended", id: planId, by: id, outcome, reasons: [] });
			} else bodies.push({ kind: "plan-refused", id, reasons: [`no plan "${planId}" waits`] });
		}
	}
	return { schedule, bodies };
}

/** A plan that is not waited for any more. */
function without(schedule: Schedule, id: string): Schedule {
	const planned = schedule.planned.filter((other) => other.id !== id);
	if (planned.length < schedule.planned.length) return { ...schedule, planned };
	return { ...schedule, ended: [...schedule.ended, id].slice(-ENDED_KEPT) };
}
