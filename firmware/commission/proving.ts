// Commissioning's part of a tick: begins, follows and ends trials, takes what the link says of
// parts and fills, and knows whether any step is due. It decides what is proven, and has no way to
// turn the pump on: of the outputs it may light lamps and sound the horn at rest, and hold the
// beat still. Pure; some comparisons in a tick in which there is nothing for it.

import type { Readings } from "../board/port.ts";
import type { CycleState } from "../cycle/advance.ts";
import type { Command } from "../cycle/commands.ts";
import type { StateName } from "../cycle/effects.ts";
import type { CycleEvent } from "../cycle/events.ts";
import { type Clock, dateTimeText, localMs } from "../local-time.ts";
import type { RecordBody } from "../log/record.ts";
import type { ProbeState } from "../sense/bowl-probe.ts";
import type { Sensed } from "../sense/sensed.ts";
import { CHECK_MS, type Commission, type Ended, TRIED } from "./commission.ts";
import { type Evidence, isAllProven, isSpoiling, withRecord } from "./evidence.ts";
import { answerRefusals, wayOf } from "./kinds.ts";
import type { ProvingPlan } from "./plan.ts";
import { type Step, stepWays } from "./step-ways.ts";
import { PATIENCE_MS, PRESS_MS } from "./steps.ts";
import { type End, failed, type Move, type Scene, type Trial, type Values } from "./trial.ts";

/** What of the controller's state as the last tick left it is asked for. */
export interface Before {
	readonly nowMs: number;
	readonly nextSeq: number;
	readonly commission: Commission;
	readonly waiting: readonly unknown[];
	readonly cycle: CycleState;
	readonly motorOn: boolean;
	readonly sense: { readonly probe: ProbeState };
}

/** What of a tick's inputs is asked for. */
export interface Heard {
	readonly nowMs: number;
	readonly readings: Readings;
	readonly commands: readonly Command[];
}

/** What the tick has made of it. */
interface Now {
	readonly name: StateName;
	readonly sensed: Sensed;
	readonly pressed: boolean;
	readonly clock: Clock | null;
	readonly logFailed: boolean;
}

type ProvingInputs = Omit<Before, "nowMs" | "commission" | "sense"> &
	Heard &
	Now & { readonly beforeMs: number; readonly probe: ProbeState };

export interface Proved {
	readonly commission: Commission;
	readonly bodies: readonly RecordBody[];
	readonly events: readonly CycleEvent[];
	/** The press was meant for the trial: it acknowledges and arms nothing. */
	readonly takesPress: boolean;
	readonly shows: Move<unknown>["shows"];
}

/**
 * Its arguments are what the tick has at hand anyhow: most ticks make nothing of them.
 * @returns null while there is no trial, nobody says anything, and it was looked within the minute
 */
export function prove(
	plan: ProvingPlan,
	before: Before,
	heard: Heard,
	name: StateName,
	sensed: Sensed,
	pressed: boolean,
	clock: Clock | null,
	logFailed: boolean,
): Proved | null {
	const { trial, holdsBeat, checkDueMs } = before.commission;
	const { nowMs, readings, commands } = heard;
	const isQuiet = trial === null && commands.length === 0 && !holdsBeat && nowMs < checkDueMs;
	if (isQuiet) return null;
	const { nextSeq, waiting, cycle, motorOn } = before;
	const was = { beforeMs: before.nowMs, probe: before.sense.probe, nextSeq, waiting };
	const now = { nowMs, readings, commands, cycle, motorOn, name, sensed, pressed, clock };
	return new Proving(plan, before.commission, { ...was, ...now, logFailed }).tick();
}

/** One tick of it. */
class Proving {
	private readonly plan: ProvingPlan;
	private readonly inputs: ProvingInputs;
	private readonly bodies: RecordBody[] = [];
	private readonly events: CycleEvent[] = [];
	private evidence: Evidence;
	private trial: Trial | null;
	private last: Ended | null;
	private shown: number;
	private holdsBeat: boolean;
	private shows: Move<unknown>["shows"];
	private readonly before: Commission;
	private readonly local: number | null;

	constructor(plan: ProvingPlan, before: Commission, inputs: ProvingInputs) {
		this.plan = plan;
		this.before = before;
		this.inputs = inputs;
		this.evidence = before.evidence;
		this.trial = before.trial;
		this.last = before.last;
		this.shown = before.shown;
		// The run that it was held in is over: the next one starts by its own warning.
		this.holdsBeat = before.holdsBeat && inputs.cycle.demand.beat;
		this.local = localMs(inputs.clock, inputs.nowMs);
	}

	tick(): Proved {
		const { inputs } = this;
		for (const command of inputs.commands) this.hear(command);
		const takesPress = inputs.pressed && this.wantsPress();
		if (this.trial !== null) this.follow(this.trial, takesPress);
		// A trial that was given up in the middle leaves no run behind that nobody beats for.
		else if (this.holdsBeat && this.before.trial === null) {
			this.events.push({ type: "stop", atMs: inputs.nowMs, by: "commissioning" });
		}
		const { bodies, events, shows } = this;
		return { commission: this.after(), bodies, events, takesPress, shows };
	}

	private after(): Commission {
		const { before, evidence, trial, last, shown, holdsBeat } = this;
		const { nowMs, commands } = this.inputs;
		const isDue =
			nowMs >= before.checkDueMs ||
			evidence !== before.evidence ||
			commands.some(({ type }) => type === "set-clock");
		const isProven = isDue ? isAllProven(this.plan, evidence, this.local) : before.isProven;
		const checkDueMs = isDue ? nowMs + CHECK_MS : before.checkDueMs;
		return { evidence, isProven, checkDueMs, trial, last, shown, holdsBeat };
	}

	private hear(command: Command): void {
		const { trial } = this;
		switch (command.type) {
			case "prove-begin":
				this.askToBegin(command.id, command.step, command.by);
				break;
			case "prove-answer":
				this.answer(command.id, command.values);
				break;
			case "prove-end":
				if (trial === null) this.refuse(command.id, NO_TRIAL);
				else this.giveUp(trial, "it was given up", command.id);
				break;
			case "change-part": {
				const { id, part, by } = command;
				// One that spoils nothing is not written: nobody fills the log with it.
				if (!isSpoiling(this.plan, this.evidence, part)) {
					this.refuse(id, ["all steps with this part are due already"]);
				} else this.write({ kind: "part-changed", id, part, by, localTime: this.timeText() });
				break;
			}
			case "strike-fill": {
				const { id, fillSeq, why } = command;
				const fill = this.evidence.fills.find(({ seq }) => seq === fillSeq);
				if (fill === undefined || fill.struck) this.refuse(id, ["there is no such fill"]);
				else this.write({ kind: "fill-struck", id, fillSeq, why });
				break;
			}
			case "stop":
				if (trial !== null) this.giveUp(trial, "a stop came", command.id);
				break;
		}
	}

	private askToBegin(id: string, step: Step, by: string): void {
		const reasons = this.beginRefusals(step);
		if (reasons.length > 0) {
			this.refuse(id, reasons);
			return;
		}
		this.write({ kind: "proof-begun", id, step, by });
		const localTime = this.timeText() ?? "";
		const trial: Trial = { id, step, by, localTime, activeMs: this.inputs.nowMs, work: null };
		// What a person only tells needs no hand at the box.
		this.trial = stepWays[step].goes.kind === "told" ? this.started(trial) : trial;
	}

	private beginRefusals(step: Step): string[] {
		const { name, waiting, logFailed, commands } = this.inputs;
		const reasons: string[] = [];
		if (this.plan.places[step] === undefined) reasons.push("the rig has no sensor for this step");
		if (this.trial !== null) reasons.push(`the step ${this.trial.step} is under way`);
		if (name !== "idle") reasons.push(`the controller is ${name}`);
		if (waiting.length > 0) reasons.push("an order or an acknowledgement is being written down");
		if (commands.some(({ type }) => type === "stop")) reasons.push("a stop came with it");
		if (logFailed) reasons.push("the log has failed");
		if (this.local === null) reasons.push("the time is unknown: set the clock first");
		return reasons;
	}

	private started(trial: Trial): Trial {
		const { kind, goes } = wayOf(trial.step);
		const work = kind.begin(goes, this.scene(false));
		return { ...trial, work, activeMs: this.inputs.nowMs };
	}

	private answer(id: string, values: Values): void {
		const { trial } = this;
		const reasons = trial === null ? NO_TRIAL : this.answerRefusals(trial, values);
		if (trial === null || reasons.length > 0) {
			this.refuse(id, reasons);
			return;
		}
		this.write({ kind: "proof-answer", id, step: trial.step, values: { ...values } });
		const { kind, goes } = wayOf(trial.step);
		const move = kind.answer?.(goes, trial.work, values, this.scene(false));
		if (move !== undefined) this.take(trial, { ...move, isActive: true });
	}

	private answerRefusals({ step, work }: Trial, values: Values): readonly string[] {
		const { kind, goes } = wayOf(step);
		const isAsked = work !== null && kind.asks(goes, work) === "answer";
		return isAsked ? answerRefusals(step, values) : ["nothing is asked for now"];
	}

	/** Whether a press of the box's button is what the trial waits for. */
	private wantsPress(): boolean {
		const { trial } = this;
		if (trial === null) return false;
		if (trial.work === null) return true;
		const { kind, goes } = wayOf(trial.step);
		return kind.asks(goes, trial.work) === "press";
	}

	private follow(trial: Trial, pressed: boolean): void {
		const { nowMs, cycle } = this.inputs;
		if (trial.work === null) {
			this.await(trial, pressed);
			return;
		}
		const { kind, goes } = wayOf(trial.step);
		this.take(trial, kind.advance(goes, trial.work, this.scene(pressed), trial.step));
		const isWaiting = kind.waitsForRun === true && cycle.context.order !== null;
		if (this.trial === null || isWaiting) return;
		if (nowMs - this.trial.activeMs > PATIENCE_MS) {
			this.giveUp(this.trial, "nobody did anything", "patience");
		}
	}

	/** The press that says that somebody stands at the box. */
	private await(trial: Trial, pressed: boolean): void {
		const { nowMs, name } = this.inputs;
		if (name !== "idle") this.giveUp(trial, `the controller is ${name}`, "trip");
		else if (pressed) this.trial = this.started(trial);
		else if (nowMs - trial.activeMs > PRESS_MS) {
			this.giveUp(trial, "nobody pressed the button", "patience");
		}
	}

	private take(trial: Trial, move: Move<unknown>): void {
		const { nowMs } = this.inputs;
		const activeMs = move.isActive === true ? nowMs : trial.activeMs;
		const isSame = move.work === trial.work && activeMs === trial.activeMs;
		this.trial = isSame ? trial : { ...trial, work: move.work, activeMs };
		this.shows = move.shows;
		this.shown = move.shown ?? this.shown;
		if (move.holdsBeat === true) this.holdsBeat = true;
		if (move.event !== undefined) this.events.push(move.event);
		if (move.fill !== undefined) {
			const { pulses, litres, litresUncertainty, seconds } = move.fill;
			const can = { litres, litresUncertainty, seconds };
			this.write({ kind: "fill", id: trial.id, pulses, ...can, localTime: this.timeText() });
		}
		if (move.end === undefined) return;
		const { gaveUp = null } = move.end;
		this.end(trial, move.end, gaveUp, gaveUp === null);
	}

	/** From outside, before its kind has found anything out. */
	private giveUp(trial: Trial, why: string, endedBy: string): void {
		const { kind, goes } = wayOf(trial.step);
		const isTried = trial.work !== null && kind.isTried(goes, trial.work);
		const reasons = isTried ? [why, TRIED] : [why];
		this.end(trial, failed(reasons), endedBy, isTried);
	}

	private end(trial: Trial, end: End, endedBy: string | null, counts: boolean): void {
		const { id, step, by } = trial;
		const { passed, values } = end;
		const reasons = [...end.reasons];
		const marks = this.plan.marks[this.plan.places[step] ?? -1] ?? "";
		const localTime = this.timeText() ?? trial.localTime;
		const proof = {
			id,
			step,
			passed,
			counts,
			reasons,
			values: { ...values },
			marks,
			by,
			localTime,
			endedBy,
		};
		this.write({ kind: "proof", ...proof });
		this.trial = null;
		this.last = { step, passed, reasons, values };
	}

	private write(body: RecordBody): void {
		const seq = this.inputs.nextSeq + this.bodies.length;
		this.bodies.push(body);
		this.evidence = withRecord(this.plan, this.evidence, body, seq);
	}

	private refuse(id: string, reasons: readonly string[]): void {
		this.write({ kind: "proof-refused", id, reasons: [...reasons] });
	}

	private timeText(): string | null {
		return this.local === null ? null : dateTimeText(this.local);
	}

	private scene(pressed: boolean): Scene {
		const { nowMs, beforeMs, cycle, name, motorOn, sensed, readings, probe } = this.inputs;
		const seen = { plan: this.plan, nowMs, beforeMs, cycle, name, motorOn, sensed, readings };
		return { ...seen, probe, pressed, fills: this.evidence.fills, shown: this.shown };
	}
}

const NO_TRIAL: readonly string[] = ["no step is under way"];
