// One tick of the controller, pure: (state, inputs) -> (state, outputs, records).
//
//   readings -> sense -> find -> prove -> take in -> advance -> interlock -> outputs, the beat last
//                                  \_________\__________\___________\______> records
//
// Time is an argument. The state is plain JSON: restored at any tick, it decides the same.
// A tick that does not come to its end returns no outputs, hence no beat, and the dead-man opens.

import { ALL_OFF, type Outputs, type Readings } from "./board/port.ts";
import {
	type Commission,
	commissionAtBoot,
	cutShort,
	isCommissioning,
} from "./commission/commission.ts";
import { planProving } from "./commission/plan.ts";
import { prove } from "./commission/proving.ts";
import type { PinMap } from "./config/pins.ts";
import type { Rig } from "./config/rig.ts";
import { advance, type CycleState, cycleAtBoot, isAtWork, stateName } from "./cycle/advance.ts";
import { type Arming, ASKS_BEFORE_MS, attendanceGap, lapseOf } from "./cycle/arming.ts";
import type { Command } from "./cycle/commands.ts";
import { contextAfter } from "./cycle/context.ts";
import { coverageGaps } from "./cycle/coverage.ts";
import type { CycleEvent } from "./cycle/events.ts";
import { isBurstDone, isGoalReached } from "./cycle/goals.ts";
import type { HoldCause } from "./cycle/holds.ts";
import { type Order, permitBlockers } from "./cycle/orders.ts";
import { createStatechart } from "./cycle/statechart.ts";
import { type LogState, takeIn, type Waiting } from "./intake.ts";
import { type InterlockMemory, interlock } from "./interlock.ts";
import type { LogRecord } from "./log/record.ts";
import { type Recovery, recover } from "./log/recovery.ts";
import { bootBody, restrictionBody, sampleOf } from "./log/tick-records.ts";
import { Writer, writeTold } from "./log/writer.ts";
import {
	isLookDue,
	type Looked,
	lookAt,
	quietCauses,
	type Schedule,
	scheduleAtBoot,
	takePlans,
} from "./schedule.ts";
import { batteries } from "./sense/finding-row.ts";
import {
	type FindingsState,
	find,
	findingsAtBoot,
	holdsIn,
	isFound,
	planFindings,
} from "./sense/findings.ts";
import { presentOf } from "./sense/present.ts";
import { EDGELESS_MS_MAX, type Moment } from "./sense/quantity.ts";
import { planSense, type SenseState, sense, senseAtBoot } from "./sense/sense.ts";
import { addTally, addTick, isSameTally, type Tally, type Totals } from "./totals.ts";

/** Everything a tick may look at. All of it is kept, so that a run can be decided again. */
export interface TickInputs {
	/** Whole milliseconds since boot; never goes back. */
	readonly nowMs: number;
	readonly readings: Readings;
	readonly commands: readonly Command[];
	/** The bench's invented evidence that all steps have passed; a real rig has to prove them. */
	readonly commissioned: boolean;
	readonly log: LogState;
}

export interface ControllerState {
	readonly nowMs: number;
	readonly boot: number;
	readonly nextSeq: number;
	readonly sense: SenseState;
	readonly findings: FindingsState;
	readonly waiting: readonly Waiting[];
	readonly cycle: CycleState;
	/** How the unattended plan was armed at the rig; null while it is not. */
	readonly arming: Arming | null;
	/** When somebody at the box last pressed its button, or ordered something. */
	readonly confirmedMs: number;
	readonly interlock: InterlockMemory;
	readonly totals: Totals;
	readonly schedule: Schedule;
	readonly commission: Commission;
	/** Of the meter, since the pump was switched on. */
	readonly stretchPulses: number;
	readonly logFailed: boolean;
	readonly sampleDueMs: number;
	readonly restrictionDueMs: number;
	/** What the log knows of pumping without an order. */
	readonly unorderedLogged: Tally;
	readonly unorderedDueMs: number;
	/** K1 closed and the beat asked for, as put out by the last tick. */
	readonly motorOn: boolean;
	/** Level of the beat; one change a completed tick. */
	readonly beat: boolean;
}

export interface TickResult {
	readonly state: ControllerState;
	readonly outputs: Outputs;
	readonly records: readonly LogRecord[];
}

export interface Controller {
	/** The state at power-up: pump off; tripped by an open trip or run of the log, or a lost log. */
	boot(nowMs: number, recovery?: Recovery): TickResult;
	tick(before: ControllerState, inputs: TickInputs): TickResult;
}

/** The stages by name; a test wedges one of them to prove that the beat ends with it. */
export const STAGES = { sense, find, prove, takeIn, advance, interlock, addTick };

const SAMPLE_MS = 1_000;
/** How often an order at work tells of the element. */
const RESTRICTION_MS = 30 * 60_000;
/** How often the horn asks, and for how long it then sounds, ms. */
const ASK_EVERY_MS = 5_000;
const ASK_MS = 100;
const UNORDERED_MS = 10_000;

export function createController(rig: Rig, pins: PinMap, stages = STAGES): Controller {
	const chart = createStatechart(rig);
	const plan = planFindings(rig);
	const sensing = planSense(rig, pins);
	const proving = planProving(rig, pins);
	const gaps = coverageGaps(rig);
	const { setpoints } = rig;
	const volts = batteries(rig);
	// Asked for in every tick: where it stands is looked up once.
	const strayPlace = plan.places.stray ?? -1;

	function tick(before: ControllerState, inputs: TickInputs): TickResult {
		const { nowMs, readings, log } = inputs;
		const { motorOn } = before;
		const name = stateName(before.cycle.value);
		const polishing = name === "polishing";
		const { order } = before.cycle.context;
		const moment: Moment = {
			nowMs,
			elapsedMs: nowMs - before.nowMs,
			motorOn,
			polishing,
			run: order?.id ?? null,
			tank: order?.tank,
			sameTank: order === null || order.toTank === null,
			toTank: order?.toTank ?? undefined,
		};

		// What is the world like, and what does that mean?
		const { state: sensedState, sensed } = stages.sense(sensing, before.sense, readings, moment);
		const found = stages.find(plan, before.findings, sensed, moment);

		// What has been pumped since the last tick, and is it enough?
		// A welded contact turns the motor without anybody's order: its time counts all the same.
		const strayMs = found.state[strayPlace]?.on === true ? moment.elapsedMs : 0;
		const motorMs = sensed.motorMs + strayMs;
		const counted = stages.addTick(before.totals, order?.tank, motorMs, sensed.pulses);
		const events: CycleEvent[] = found.events;
		const stretchPulses = motorOn ? before.stretchPulses + sensed.pulses : 0;
		if (order !== null && motorOn && isGoalReached(order, counted.run, sensed, rig)) {
			events.push({ type: "goal-reached", atMs: nowMs });
		} else if (isBurstDone(before.cycle.context, stretchPulses, rig)) {
			events.push({ type: "burst-done", atMs: nowMs });
		}
		if (moment.elapsedMs > EDGELESS_MS_MAX) {
			// Before all else: whatever came due in between was not done.
			events.push({ type: "tick-gap", atMs: before.nowMs, ms: moment.elapsedMs });
		}
		const logFailed = log.failed || log.ageMs > setpoints.recordPatienceMs;
		if (logFailed && !before.logFailed) {
			events.push({ type: "trouble", atMs: nowMs, code: "log-failed" });
		}

		// Is it night by the clock that was set, and does the order wait for its end?
		const plans = takePlans(before.schedule, inputs.commands, rig, nowMs);
		const quiet = quietCauses(rig, plans.schedule.clock, nowMs);
		const isQuietNews = quiet !== quietCauses(rig, before.schedule.clock, before.nowMs);
		if (order?.attended === false && (isQuietNews || quiet.length > 0)) {
			mergeQuiet(events, holdsIn(plan, found.state), quiet, isQuietNews, nowMs);
		}

		// What does anybody want? Wishes wait for their records; stops do not.
		const lapse =
			before.arming === null
				? null
				: lapseOf(before.arming, (name) => isFound(plan, found.state, name), rig, nowMs);
		let arming = lapse === null ? before.arming : null;
		const pressed = found.button !== null;
		const confirmedMs = pressed ? nowMs : before.confirmedMs;
		const attended = order?.attended ?? true;
		const { clock } = plans.schedule;
		const proved = stages.prove(proving, before, inputs, name, sensed, pressed, clock, logFailed);
		const commission = proved === null ? before.commission : proved.commission;
		if (proved !== null) events.push(...proved.events);
		// Nobody else may have the pump while somebody proves the box.
		const standing = isCommissioning(commission, name) ? "commissioning" : name;
		const commissioned = inputs.commissioned || commission.isProven;
		const permits = { commissioned, arming, logFailed, attended, gaps, quiet };
		const reasons = order === null ? [] : permitBlockers(order, permits);
		if (reasons.length > 0) events.push({ type: "permits-lost", atMs: nowMs, reasons });
		if (order?.attended === true && isAtWork(before.cycle)) {
			const gone = attendanceGap(confirmedMs, rig, nowMs);
			if (gone !== null) events.push({ type: "permits-lost", atMs: nowMs, reasons: [gone] });
		}
		const intake = stages.takeIn(plan, {
			nowMs,
			state: standing,
			waiting: before.waiting,
			commands: inputs.commands,
			button: proved?.takesPress === true ? null : found.button,
			log,
			sensed,
			findings: found.state,
			permits,
		});

		let looked: Looked = { schedule: plans.schedule, bodies: [] };
		if (isLookDue(plans.schedule, nowMs)) {
			looked = lookAt(plans.schedule, rig, {
				nowMs,
				state: standing,
				isBusy: intake.waiting.length > 0 || intake.bodies.length > 0,
				restVolts: typeof sensed.restVolts === "number" ? sensed.restVolts / volts : null,
				onCharge: isFound(plan, found.state, "charging"),
				present: () => presentOf(plan, sensed, found.state, permits),
			});
		}

		// What does the statechart make of it, and does the interlock let it?
		const all = intake.events.length > 0 ? [...events, ...intake.events] : events;
		let { cycle, told } = stages.advance(chart, before.cycle, all, nowMs);
		const verdict = stages.interlock(cycle.demand.k1, sensed, before.interlock);
		if (verdict.veto !== undefined) {
			const veto: CycleEvent = { type: "alarm", atMs: nowMs, ...verdict.veto };
			const tripped = stages.advance(chart, cycle, [veto], nowMs);
			cycle = tripped.cycle;
			told = [...told, ...tripped.told];
		}

		// What is to be written down? Records of wishes are what the wishes wait for.
		const sampleDue = motorOn && nowMs >= before.sampleDueMs;
		const writer = new Writer(before.boot, before.nextSeq, nowMs);
		// First, since a fill is known by its record's number.
		if (proved !== null) for (const body of proved.bodies) writer.write(body);
		for (const { body, wish } of intake.bodies) writer.write(body, wish);
		for (const body of plans.bodies) writer.write(body);
		for (const { body, wish } of looked.bodies) writer.write(body, wish);
		if (lapse !== null) writer.write({ kind: "disarmed", why: lapse });
		const totals = writeTold(writer, told, counted);
		if (sampleDue) writer.write(sampleOf(sensed, totals));
		const { restriction } = sensed;
		const hasEnded = order !== null && cycle.context.order === null;
		const restrictionDue = hasEnded || (polishing && nowMs >= before.restrictionDueMs);
		const isTold = restrictionDue && order !== null && restriction !== null;
		if (isTold) writer.write(restrictionBody(rig, order, restriction));
		const { unordered } = totals;
		const isNews = !isSameTally(unordered, before.unorderedLogged);
		const unorderedDue = isNews && nowMs >= before.unorderedDueMs;
		if (unorderedDue) writer.write({ kind: "unordered", sum: unordered });

		// Outputs last. The beat changes only here, after everything above has come to its end.
		const { horn, lamp } = cycle.demand;
		if (intake.armed) arming = { atMs: nowMs, tank: null, toTank: null };
		arming = boundTo(arming, cycle.context.order);
		const taken = cycle.context.order !== null && order === null;
		const isAsking =
			cycle.context.order?.attended === true &&
			isAtWork(cycle) &&
			attendanceGap(confirmedMs, rig, nowMs + ASKS_BEFORE_MS) !== null;
		const k1 = verdict.allow && cycle.demand.k1;
		const beat = cycle.demand.beat && !commission.holdsBeat ? !before.beat : before.beat;
		const shows = isAtWork(cycle) ? undefined : proved?.shows;
		const tripped = cycle.context.trips.length > 0;
		const state: ControllerState = {
			nowMs,
			boot: before.boot,
			nextSeq: before.nextSeq + writer.records.length,
			sense: sensedState,
			findings: found.state,
			waiting: writer.waiting.length > 0 ? [...intake.waiting, ...writer.waiting] : intake.waiting,
			cycle,
			arming,
			confirmedMs: taken ? nowMs : confirmedMs,
			interlock: verdict.memory,
			totals,
			schedule: looked.schedule,
			commission,
			stretchPulses,
			logFailed,
			unorderedLogged: unorderedDue ? unordered : before.unorderedLogged,
			unorderedDueMs: unorderedDue ? nowMs + UNORDERED_MS : before.unorderedDueMs,
			sampleDueMs: sampleDue ? nextSampleMs(before.sampleDueMs, nowMs) : before.sampleDueMs,
			restrictionDueMs: isTold ? nowMs + RESTRICTION_MS : before.restrictionDueMs,
			motorOn: k1 && cycle.demand.beat,
			beat,
		};
		const outputs: Outputs = {
			"pump-demand": k1,
			"dead-man-beat": beat,
			"lamp-pump": lamp || shows === "lamp-pump",
			"lamp-trip": tripped || shows === "lamp-trip",
			// One tick of horn says: armed. One every 5 s asks who attends whether he is still there.
			horn: horn || intake.armed || shows === "horn" || (isAsking && nowMs % ASK_EVERY_MS < ASK_MS),
			"probe-plus": sensedState.probe.plus,
			"probe-minus": !sensedState.probe.plus,
		};
		return { state, outputs, records: writer.records };
	}

	function boot(nowMs: number, recovery = recover([], rig)): TickResult {
		const { openTrips, interrupted, lost } = recovery;
		const writer = new Writer(recovery.boot, recovery.nextSeq, nowMs);
		writer.write(bootBody(rig));
		let { totals } = recovery;
		if (interrupted !== null) {
			writer.write({ kind: "interrupted", id: interrupted.id, run: interrupted.run });
			totals = addTally(totals, interrupted.tank, interrupted.run);
		}
		const ended = cutShort(proving, recovery.begunStep);
		if (ended !== null) writer.write(ended);
		// Other open trips are in the log already; this one is news to the log that begins here.
		if (lost !== null) writer.write({ kind: "trip", code: "log-failed", cause: lost });
		const found = openTrips.length > 0 || interrupted !== null;
		const event = { atMs: nowMs, trips: openTrips, interrupted: interrupted !== null };
		const events: CycleEvent[] = found ? [{ type: "recovered", ...event }] : [];
		// Where the log is lost the pump counts as run and dry, as after a run that was cut off.
		const isWorn = interrupted !== null || lost !== null;
		const carried = { interrupted: isWorn, waterLately: recovery.waterLately };
		const context = contextAfter(carried, rig, nowMs);
		const { cycle, told } = advance(chart, { ...cycleAtBoot, context }, events, nowMs);
		totals = writeTold(writer, told, totals);
		const state: ControllerState = {
			nowMs,
			boot: recovery.boot,
			nextSeq: recovery.nextSeq + writer.records.length,
			sense: senseAtBoot(nowMs, recovery.restriction),
			findings: findingsAtBoot(plan),
			waiting: [],
			cycle,
			arming: null,
			confirmedMs: nowMs,
			interlock: { holding: false },
			totals,
			schedule: scheduleAtBoot(recovery, nowMs),
			commission: commissionAtBoot(proving, recovery.proofs, ended, nowMs),
			stretchPulses: 0,
			logFailed: false,
			unorderedLogged: totals.unordered,
			unorderedDueMs: nowMs,
			sampleDueMs: nowMs,
			restrictionDueMs: nowMs + RESTRICTION_MS,
			motorOn: false,
			beat: false,
		};
		const outputs = { ...ALL_OFF, "lamp-trip": found };
		return { state, outputs, records: writer.records };
	}

	return { boot, tick };
}

/** A tick that comes late delays its own sample and not all that follow. */
const nextSampleMs = (dueMs: number, nowMs: number): number =>
	(nowMs - dueMs < SAMPLE_MS ? dueMs : nowMs) + SAMPLE_MS;

/** What the findings and the night make wait, told as one. */
function mergeQuiet(
	events: CycleEvent[],
	found: readonly HoldCause[],
	quiet: readonly HoldCause[],
	isNews: boolean,
	atMs: number,
): void {
	const place = events.findIndex(({ type }) => type === "holds");
	const event: CycleEvent = { type: "holds", atMs, causes: [...found, ...quiet] };
	if (place >= 0) events[place] = event;
	else if (isNews) events.push(event);
}

/** The first unattended order binds the arming to its tank. */
function boundTo(arming: Arming | null, order: Order | null): Arming | null {
	if (arming === null || arming.tank !== null) return arming;
	if (order === null || order.attended) return arming;
	return { ...arming, tank: order.tank, toTank: order.toTank };
}
