// One scenario under way, whatever the board is made of: the crew acts, the controller ticks, the
// outputs are driven, records and inputs are kept. Whoever owns the time calls `tick` every 100 ms
// and steps the rig in between.

import { ALL_OFF, type Board, type Outputs } from "../../firmware/board/port.ts";
import type { ProofNow } from "../../firmware/commission/schemas.ts";
import type { Step } from "../../firmware/commission/step-ways.ts";
import { type PinMap, reportedChannels } from "../../firmware/config/pins.ts";
import type { Rig } from "../../firmware/config/rig.ts";
import {
	type Controller,
	type ControllerState,
	createController,
	type TickInputs,
	type TickResult,
} from "../../firmware/controller.ts";
import { type CycleState, isAtWork, stateName } from "../../firmware/cycle/advance.ts";
import type { StateName } from "../../firmware/cycle/effects.ts";
import type { LogRecord } from "../../firmware/log/record.ts";
import { recover } from "../../firmware/log/recovery.ts";
import { Tape } from "../../firmware/log/tape.ts";
import type { Totals } from "../../firmware/totals.ts";
import { RigModel, type Truth } from "../rig.ts";
import { EMPTY_TANK } from "../tank.ts";
import { attempt } from "./attempt.ts";
import { BenchDisk } from "./bench-disk.ts";
import type { Caretaker } from "./caretaker.ts";
import { Crew } from "./crew.ts";
import { Forgetting } from "./forgetting.ts";
import type { Violation, Watch } from "./invariants.ts";
import { ProvingDesk } from "./proving.ts";
import { RunRecorder, type RunTrace } from "./run-trace.ts";
import type { Scenario, TruthEvent } from "./scenario.ts";

export const TICK_MS = 100;
/** The run ends when nothing is under way or planned for so long, ms. */
const QUIET_MS = 10_000;

/** SHA-256 of all level changes of a board's pins and all bytes on its line, with their cycles. */
export interface TraceHashes {
	readonly edges: string;
	readonly bytes: string;
}

export type BoardKind = "model" | "emulated";

/** What a run leaves behind; plain JSON. */
export interface BenchRun {
	readonly scenario: Scenario;
	readonly rig: Rig;
	readonly board: BoardKind;
	readonly seed: number;
	readonly simulatedSeconds: number;
	readonly records: readonly LogRecord[];
	readonly state: ControllerState;
	readonly truth: Truth;
	/** True when a fault kept the controller from finishing its ticks. */
	readonly hung: boolean;
	/** First time of each thing that happened in the world, s. */
	readonly happened: Readonly<Partial<Record<TruthEvent, number>>>;
	/** When the pump last ran, s; null before it ever did. */
	readonly lastPumpS: number | null;
	readonly pumpRunsAtEnd: boolean;
	/** Charge drawn by the pump, Ah. */
	readonly ampHours: number;
	readonly waterInBowlMl: number;
	/** Steps of commissioning that are due. */
	readonly stepsDue: readonly Step[];
	/** Invariants that did not hold, of a scenario that expects any. */
	readonly violations: readonly Violation[];
	/** What its picture is drawn from; null where none was asked for. */
	readonly trace: RunTrace | null;
	/** Of an emulated board's pin edges and serial bytes. */
	readonly hashes?: TraceHashes;
}

export interface SessionOptions {
	readonly seed?: number;
	/** Another controller in place of the standard one, for tests. */
	readonly controller?: Controller;
	/** Keeps what a picture of the run needs. */
	readonly traced?: boolean;
	/** Lets go of tick inputs and old records, but for what a restart reads: it may run for days. */
	readonly forgets?: boolean;
	/** Whom the crew may call for; a session without them plays no scenario in which it does. */
	readonly people?: People;
}

/** Those who act by themselves, each in the session that is his. */
export interface People {
	/** Sees to it that an order finishes. */
	caretaker(scenario: Scenario, model: RigModel, session: Session): Caretaker;
	/** Looks on, for a scenario that expects an invariant. */
	watch(): Watch;
	/** Proves the rig. */
	prover(model: RigModel, session: Session, seed: number): { tick(nowMs: number): void };
}

/** The rig as the scenario finds it. */
export function rigAtStart({ start }: Scenario, rig: Rig, seed: number): RigModel {
	const tanks = new Map(rig.tanks.map(({ name }) => [name, start.tanks[name] ?? EMPTY_TANK]));
	const { tube: tubeTank, return: returnTank, ...world } = start;
	return new RigModel(rig, { ...world, tanks, tubeTank, returnTank, seed });
}

/** One boot of the controller: how it came up, and all its tick inputs. */
export interface KeptBoot {
	readonly nowMs: number;
	/** Records that were there before: all that it could know. */
	readonly recordsBefore: number;
	readonly tape: Tape;
}

export class Session {
	/** Each boot so far, the last one under way; none where it forgets. */
	readonly boots: KeptBoot[] = [];
	private readonly scenario: Scenario;
	private readonly rig: Rig;
	private readonly pins: PinMap;
	private readonly model: RigModel;
	private readonly board: Board;
	private readonly seed: number;
	private readonly controller: Controller;
	private readonly recorder: RunRecorder | null;
	readonly crew: Crew;
	private readonly watch: Watch | null;
	private readonly disk = new BenchDisk();
	private caretaker: Caretaker | null = null;
	private prover: ReturnType<People["prover"]> | null = null;
	private readonly people: People | null;
	private readonly desk: ProvingDesk;
	private readonly records: LogRecord[] = [];
	private readonly forgetting: Forgetting | null;
	private state: ControllerState;
	/** What the last tick put out, and the log that it was told of. */
	private driven: Outputs = ALL_OFF;
	private disked: TickInputs["log"] = { durableSeq: 0, ageMs: 0, failed: false };
	private hung = false;
	private quietMs = 0;
	private ticks = 0;

	constructor(
		scenario: Scenario,
		rig: Rig,
		pins: PinMap,
		model: RigModel,
		board: Board,
		options: SessionOptions = {},
	) {
		this.scenario = scenario;
		this.rig = rig;
		this.model = model;
		this.board = board;
		this.seed = options.seed ?? scenario.seed;
		this.people = options.people ?? null;
		const isWatched = scenario.expect.some((one) => "invariant" in one);
		this.watch = isWatched ? this.called.watch() : null;
		this.desk = new ProvingDesk(rig, pins);
		this.recorder = options.traced === true ? new RunRecorder(model, TICK_MS) : null;
		this.controller = options.controller ?? createController(rig, pins, this.recorder?.stages);
		this.crew = new Crew(scenario, model);
		this.pins = pins;
		this.forgetting = options.forgets === true ? new Forgetting() : null;
		this.state = this.boot(0).state;
	}

	/** The computer loses its supply and comes up again: all it knows is what was written. */
	restart(nowMs: number): void {
		const { model } = this;
		this.hung = false;
		model.drive(ALL_OFF);
		const booted = this.boot(nowMs);
		this.state = booted.state;
		this.driven = booted.outputs;
		this.crew.read(booted.records, nowMs);
		model.mends("controller-restarts");
	}

	/** What the controller's log holds so far. */
	get log(): readonly LogRecord[] {
		return this.records;
	}

	/** The controller as the last tick left it, what that tick drove, and the log it was told of. */
	get now(): { state: ControllerState; outputs: Outputs; log: TickInputs["log"] } {
		return { state: this.state, outputs: this.driven, log: this.disked };
	}

	get cycle(): CycleState {
		return this.state.cycle;
	}

	get totals(): Totals {
		return this.state.totals;
	}

	/** The controller's state by its name. */
	get doing(): StateName {
		return stateName(this.state.cycle.value);
	}

	/** Neither at rest nor stopped by a trip. */
	get isAtWork(): boolean {
		return isAtWork(this.state.cycle);
	}

	/** Whether no tick is completed any more. */
	get isDead(): boolean {
		return this.hung;
	}

	get nowMs(): number {
		return this.ticks * TICK_MS;
	}

	get over(): boolean {
		return this.nowMs >= this.scenario.hoursMax * 3_600_000 || this.quietMs >= QUIET_MS;
	}

	private get called(): People {
		if (this.people === null) throw new Error("nobody is there whom the crew could call for");
		return this.people;
	}

	private takeCare(atS: number): void {
		this.caretaker ??= this.called.caretaker(this.scenario, this.model, this);
		this.caretaker.second(atS);
	}

	/** How far somebody is who sees to it that the order finishes; null where nobody does. */
	get care(): Caretaker["now"] | null {
		return this.caretaker?.now ?? null;
	}

	/** What commissioning says over the link: the step under way, and those that are due. */
	get trial(): ProofNow["trial"] {
		return this.desk.now(this.state).trial;
	}

	get stepsDue(): Step[] {
		return this.desk.due(this.state);
	}

	private prove(nowMs: number): void {
		this.prover ??= this.called.prover(this.model, this, this.seed);
		this.prover.tick(nowMs);
	}

	/** One tick of the controller, unless it hangs. */
	tick(): void {
		const { nowMs, crew, model } = this;
		crew.act(nowMs);
		if (model.has("controller-restarts")) this.restart(nowMs);
		if (crew.seesToIt && nowMs % 1_000 === 0) this.takeCare(nowMs / 1_000);
		if (crew.proves) this.prove(nowMs);
		this.hung ||= model.has("controller-hangs");
		if (this.hung) return;
		const log = this.disk.stand(nowMs, model);
		this.disked = log;
		const readings = this.board.read(nowMs);
		const commands = crew.takeCommands();
		const { commissioned } = crew;
		const inputs = { nowMs, readings, commands, commissioned, log };
		const result = attempt(this.controller, this.state, inputs);
		if (this.forgetting === null) this.boots.at(-1)?.tape.push(inputs, result?.outputs ?? null);
		if (result === null) {
			this.hung = true;
			return;
		}
		this.state = result.state;
		this.driven = result.outputs;
		this.board.drive(result.outputs);
		if (result.records.length === 0) return;
		this.write(result.records);
		crew.read(result.records, nowMs);
	}

	/** May be called where the rig is stepped more often than once a tick. */
	look(): void {
		this.recorder?.look(this.model);
	}

	/** To be called when the rig has been stepped to the end of the tick. */
	afterStep(): void {
		if (this.recorder !== null) {
			const { model, crew, nowMs } = this;
			this.recorder.take(model, this.hung ? "dead" : this.doing, crew.deeds, nowMs);
		}
		this.watch?.afterStep(this.model, this.doing);
		this.ticks += 1;
		this.crew.watch(this.nowMs / 1000);
		this.quietMs = this.isQuiet() ? this.quietMs + TICK_MS : 0;
	}

	end(board: BoardKind): BenchRun {
		const { scenario, rig, seed, records, state, hung, model, watch } = this;
		const run = {
			scenario,
			rig,
			board,
			seed,
			simulatedSeconds: this.nowMs / 1000,
			records,
			state,
			truth: model.truth,
			hung,
			happened: Object.fromEntries(this.crew.happened),
			lastPumpS: model.lastPoweredS,
			pumpRunsAtEnd: model.motor.powered,
			ampHours: model.supply.ampHours,
			waterInBowlMl: model.path.bowl.sumpWaterM3 * 1e6,
			stepsDue: this.stepsDue,
			trace: this.recorder?.trace ?? null,
		};
		return { ...run, violations: watch === null ? [] : watch.violations(run) };
	}

	/** The controller comes up with what the log holds. */
	private boot(nowMs: number): TickResult {
		const { records, rig, pins, boots, controller } = this;
		if (this.forgetting === null) {
			const tape = new Tape(reportedChannels(pins));
			boots.push({ nowMs, recordsBefore: records.length, tape });
		}
		const booted = controller.boot(nowMs, recover(records, rig));
		this.write(booted.records);
		return booted;
	}

	private write(records: readonly LogRecord[]): void {
		this.records.push(...records);
		this.disk.write(records);
		this.forgetting?.trim(this.records);
	}

	private isQuiet(): boolean {
		if (this.crew.seesToIt && this.care !== "finished" && this.care !== "gave up") return false;
		if (this.crew.proves || this.crew.pending > 0 || this.model.motor.powered) return false;
		// A plan waits for its time: the scenario's own end is the only one.
		if (this.rig.schedule.weekly.length > 0 || this.state.schedule.planned.length > 0) return false;
		return this.hung || (this.state.waiting.length === 0 && !isAtWork(this.state.cycle));
	}
}
