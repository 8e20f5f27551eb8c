// A world for story tests: readings made from plain facts, the real controller, and a time
// variable. Facts change, time passes, the story asserts. No rig model here: a story says itself
// what the sensors see.

import { join } from "node:path";
import type { Outputs, Readings } from "../../firmware/board/port.ts";
import { readInputFile } from "../../firmware/config/input-file.ts";
import { bitsOf, type PinMap, type VoltageChannel } from "../../firmware/config/pins.ts";
import { type Rig, readRig } from "../../firmware/config/rig.ts";
import {
	type Controller,
	type ControllerState,
	createController,
	type TickInputs,
} from "../../firmware/controller.ts";
import { stateName } from "../../firmware/cycle/advance.ts";
import type { Command } from "../../firmware/cycle/commands.ts";
import type { Polish, Sweep, Transfer } from "../../firmware/cycle/order-schemas.ts";
import type { Plan } from "../../firmware/cycle/plan-schema.ts";
import { dateTimeMs } from "../../firmware/local-time.ts";
import type { LogRecord } from "../../firmware/log/record.ts";
import { projectRoot } from "../../host/cli/root.ts";
import { loadPins } from "../../sim/bench/load.ts";
import { bridgeShare, loopShare, thermistorShare } from "../../sim/signals.ts";

export const root = projectRoot;
export const rigFile = join(root, "sim/bench/rigs/teal-willow.rig.yaml");
export const pins: PinMap = loadPins(root);

/** The example rig, its setpoints or pump changed where a story needs it. */
export function exampleRig(change: (text: string) => string = (text) => text): Rig {
	return readRig(change(readInputFile(rigFile)), rigFile);
}

export interface Facts {
	/** Ω between the probe's pins; Infinity is fuel or air. */
	probeOhm: number;
	stopPressed: boolean;
	buttonPressed: boolean;
	trayWet: boolean;
	returnOut: boolean;
	tubeOut: boolean;
	pressureHigh: boolean;
	/** Shares of the depth. */
	levelFrom: number;
	levelTo: number;
	fuelC: number;
	caseC: number;
	supplyVolts: number;
	/** With the motor on, and off. */
	pumpingKpa: number;
	restKpa: number;
	/** Whether the beat's pin reads back as a plain output. */
	beatIsPlain: boolean;
	/** What the meter sees while the pump is demanded, L/h. */
	flowLph: number;
	/** Motor current while both contacts are closed, A. */
	motorAmps: number;
	/** K2 opens so long after the beat has stood still, ms; Infinity: it is welded. */
	releaseMs: number;
	/** Somebody holds K2 open, and the computer sees nothing of it. */
	k2Open: boolean;
	/** Current that flows whatever the contacts do, A. */
	strayAmps: number;
	/** Channels that report nothing, or something old. */
	silent: Set<string>;
	/** Raw values that stand in place of the true ones. */
	odd: Map<string, number>;
	ageMs: number;
	/** Kept so by the world itself, or left to the button of the box. */
	armed: boolean | "by-button";
	commissioned: boolean;
	/** Records are durable up to the last tick's; or only up to this number. */
	durableSeq: number | "all";
	logFailed: boolean;
	logAgeMs: number;
}

export class World {
	readonly facts: Facts = {
		probeOhm: Number.POSITIVE_INFINITY,
		stopPressed: false,
		buttonPressed: false,
		trayWet: false,
		returnOut: false,
		tubeOut: false,
		pressureHigh: false,
		levelFrom: 0.6,
		levelTo: 0.6,
		fuelC: 15,
		caseC: 20,
		supplyVolts: 12.6,
		pumpingKpa: 14,
		restKpa: 9,
		beatIsPlain: true,
		flowLph: 95,
		motorAmps: 1.7,
		releaseMs: 900,
		k2Open: false,
		strayAmps: 0,
		silent: new Set(),
		odd: new Map(),
		ageMs: 0,
		armed: true,
		commissioned: true,
		durableSeq: "all",
		logFailed: false,
		logAgeMs: 0,
	};
	readonly rig: Rig;
	readonly records: LogRecord[] = [];
	/** Outputs of every tick, first to last. */
	readonly history: Outputs[] = [];
	state: ControllerState;
	outputs: Outputs;
	nowMs = 0;
	private pulses = 0;
	/** Since when the beat stands still although the motor is to turn; null while it beats. */
	private stillSinceMs: number | null = null;
	private commands: Command[] = [];
	private readonly controller: Controller;

	constructor(rig: Rig = exampleRig(), controller: Controller = createController(rig, pins)) {
		this.rig = rig;
		this.controller = controller;
		const booted = controller.boot(0);
		this.state = booted.state;
		this.outputs = booted.outputs;
		this.records.push(...booted.records);
	}

	get name(): string {
		return stateName(this.state.cycle.value);
	}

	get pumpDemanded(): boolean {
		return this.outputs["pump-demand"];
	}

	set(facts: Partial<Facts>): void {
		Object.assign(this.facts, facts);
	}

	/** Without bursts first, unless the story asks for them. */
	polish(polish: Partial<Polish> = {}): void {
		const plain = { tank: "port", attended: false, sweepFirst: false };
		const { turnovers, hours, targetDilution } = polish;
		const hasGoal = [turnovers, hours, targetDilution].some((goal) => goal !== undefined);
		const full = { ...plain, ...(hasGoal ? {} : { litres: 60 }), ...polish };
		this.commands.push({ type: "polish", id: `story-${this.nowMs}`, polish: full });
	}

	transfer(transfer: Partial<Transfer> = {}): void {
		const full = { from: "port", to: "day", attended: false, ...transfer };
		this.commands.push({ type: "transfer", id: `story-${this.nowMs}`, transfer: full });
	}

	sweep(sweep: Partial<Sweep> = {}): void {
		const full = { tank: "port", standSeconds: 20, attended: false, ...sweep };
		this.commands.push({ type: "sweep", id: `story-${this.nowMs}`, sweep: full });
	}

	plan(plan: Omit<Plan, "windowHours" | "onCharge"> & Partial<Plan>): void {
		const full = { windowHours: 6, onCharge: false, ...plan };
		this.commands.push({ type: "plan", id: `plan-${this.nowMs}`, plan: full });
	}

	cancelPlan(planId: string): void {
		this.commands.push({ type: "cancel-plan", id: `story-${this.nowMs}`, planId });
	}

	/** @param localTime as 2026-11-29T10:00 */
	setClock(localTime: string, uncertaintyMs = 1_000): void {
		const clock = { utcMs: dateTimeMs(localTime), offsetMinutes: 0, uncertaintyMs };
		this.commands.push({ type: "set-clock", id: `clock-${this.nowMs}`, clock });
	}

	/** As it came over the link. */
	give(command: Command): void {
		this.commands.push(command);
	}

	stop(): void {
		this.commands.push({ type: "stop", id: `story-${this.nowMs}` });
	}

	acknowledgeByLink(): void {
		this.commands.push({ type: "acknowledge", id: `story-${this.nowMs}` });
	}

	/** Holds the box's button down for 0.3 s. */
	pressAcknowledge(): void {
		this.facts.buttonPressed = true;
		this.pass(0.3);
		this.facts.buttonPressed = false;
		this.pass(0.3);
	}

	/** Holds it until a plan is armed. */
	holdButton(): void {
		this.facts.buttonPressed = true;
		this.pass(3.2);
		this.facts.buttonPressed = false;
		this.pass(0.3);
	}

	/** Lets time pass in ticks of 100 ms. */
	pass(seconds: number): void {
		for (let i = 0; i < Math.round(seconds * 10); i += 1) this.tick(100);
	}

	/** Lets time pass until `done`. @throws when it does not come within `secondsMax` */
	passUntil(done: () => boolean, secondsMax: number): void {
		for (let i = 0; i <= Math.round(secondsMax * 10); i += 1) {
			if (done()) return;
			this.tick(100);
		}
		throw new Error(`it did not come within ${secondsMax} s; the state is ${this.name}`);
	}

	/** The next tick's inputs, as the facts stand. */
	inputs(elapsedMs: number): TickInputs {
		this.nowMs += elapsedMs;
		if (this.isTurning()) {
			const litres = (this.facts.flowLph * elapsedMs) / 3_600_000;
			this.pulses += litres * this.rig.meter.pulsesPerLitre;
		}
		const commands = this.commands;
		this.commands = [];
		this.keepArmed();
		const { commissioned, durableSeq, logFailed } = this.facts;
		const written = this.state.nextSeq - 1;
		const log = {
			durableSeq: durableSeq === "all" ? written : durableSeq,
			ageMs: this.facts.logAgeMs,
			failed: logFailed,
		};
		return { nowMs: this.nowMs, readings: this.readings(), commands, commissioned, log };
	}

	tick(elapsedMs: number): void {
		const inputs = this.inputs(elapsedMs);
		const result = this.controller.tick(this.state, inputs);
		const isStill = result.state.motorOn && result.state.beat === this.state.beat;
		if (!isStill) this.stillSinceMs = null;
		else this.stillSinceMs ??= this.nowMs;
		this.state = result.state;
		this.outputs = result.outputs;
		this.history.push(result.outputs);
		this.records.push(...result.records);
	}

	/** So many pulses come although nothing pumps. */
	siphon(pulses: number): void {
		this.pulses += pulses;
	}

	/** Both contacts are closed, as far as K1 and the beat say. */
	private isTurning(): boolean {
		const { k2Open, releaseMs } = this.facts;
		const since = this.stillSinceMs;
		return this.state.motorOn && !k2Open && (since === null || this.nowMs - since < releaseMs);
	}

	/** As the outputs drive it since the last tick. */
	private probe(): number {
		const { bridge } = voltage("bowl-probe");
		if (bridge === undefined) throw new Error("the probe has no bridge");
		const { "probe-plus": plus, "probe-minus": minus } = this.outputs;
		return counts("bowl-probe", bridgeShare(bridge, this.facts.probeOhm, plus, minus));
	}

	of<K extends LogRecord["kind"]>(kind: K): Array<Extract<LogRecord, { kind: K }>> {
		return this.records.filter((record) => record.kind === kind) as Array<
			Extract<LogRecord, { kind: K }>
		>;
	}

	/** As if somebody had just armed the plan, or had just ended it. */
	private keepArmed(): void {
		const { armed } = this.facts;
		if (armed === "by-button" || armed === (this.state.arming !== null)) return;
		const arming = armed ? { atMs: this.state.nowMs, tank: null, toTank: null } : null;
		this.state = { ...this.state, arming };
	}

	private readings(): Readings {
		const { facts } = this;
		const amps = facts.strayAmps + (this.isTurning() ? facts.motorAmps : 0);
		const raw: Record<string, number> = {
			"flow-pulse": Math.floor(this.pulses),
			"acknowledge-button": facts.buttonPressed ? 1 : 0,
			"stop-loop": contact("stop-loop", !facts.stopPressed),
			"bowl-probe": this.probe(),
			board: 1,
			"beat-mode": facts.beatIsPlain ? 1 : 0,
			vacuum: gauge("vacuum", this.state.motorOn ? facts.pumpingKpa : facts.restKpa),
			tray: contact("tray", !facts.trayWet),
			"return-seat": contact("return-seat", !facts.returnOut),
			"tube-seat": contact("tube-seat", !facts.tubeOut),
			"pressure-switch": contact("pressure-switch", !facts.pressureHigh),
			"level-from": level("level-from", facts.levelFrom),
			"level-to": level("level-to", facts.levelTo),
			"fuel-temperature": temperature("fuel-temperature", facts.fuelC),
			"case-temperature": temperature("case-temperature", facts.caseC),
			"supply-volts": Math.round(facts.supplyVolts / 0.004),
			"motor-current": Math.round(amps / 0.0005),
		};
		const heard = Object.entries(raw).filter(([name]) => !facts.silent.has(name));
		return Object.fromEntries(
			heard.map(([name, value]) => [
				name,
				{ raw: facts.odd.get(name) ?? value, ageMs: facts.ageMs },
			]),
		);
	}
}

function voltage(name: string): VoltageChannel {
	const channel = pins.channels[name];
	if (channel?.kind === "analog" || channel?.kind === "converter") return channel;
	throw new Error(`${name} is no voltage`);
}

function counts(name: string, share: number): number {
	const top = 2 ** bitsOf(voltage(name), pins);
	return Math.max(0, Math.min(top - 1, Math.floor(top * share)));
}

function contact(name: string, made: boolean): number {
	const { loop } = voltage(name);
	if (loop === undefined) throw new Error(`${name} is no loop`);
	return counts(name, loopShare(loop, made ? 0 : Number.POSITIVE_INFINITY));
}

function gauge(name: string, vacuumKpa: number): number {
	const { zeroShare, kpaPerShare } = voltage(name).gauge ?? { zeroShare: 0, kpaPerShare: 1 };
	return counts(name, zeroShare - vacuumKpa / kpaPerShare);
}

function level(name: string, depthShare: number): number {
	const { emptyShare, fullShare } = voltage(name).level ?? { emptyShare: 0, fullShare: 1 };
	return counts(name, emptyShare + depthShare * (fullShare - emptyShare));
}

function temperature(name: string, celsius: number): number {
	const { thermistor } = voltage(name);
	if (thermistor === undefined) throw new Error(`${name} is no thermistor`);
	return counts(name, thermistorShare(thermistor, celsius));
}

/** Codes of all trips so far, first to last. */
export const codes = (world: World) => world.of("trip").map(({ code }) => code);

/** A world in which the rig polishes. */
export function polishing(rig?: Rig): World {
	const world = new World(rig);
	world.pass(1);
	world.polish();
	world.passUntil(() => world.name === "polishing", 60);
	return world;
}
