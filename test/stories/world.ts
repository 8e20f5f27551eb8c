// A world for story tests: readings made from plain facts, the real controller, and a time
// variable. Facts change, time passes, the story asserts. No rig model here: a story says itself
// what the sensors see.

import { join } from "node:path";
import type { Outputs, Readings } from "../../firmware/board/port.ts";
import { readInputFile } from "../../firmware/config/input-file.ts";
import type { Channel, PinMap } from "../../firmware/config/pins.ts";
import { type Rig, readRig } from "../../firmware/config/rig.ts";
import {
	type Controller,
	type ControllerState,
	createController,
	type TickInputs,
} from "../../firmware/controller.ts";
import { stateName } from "../../firmware/cycle/advance.ts";
import type { Command, Polish } from "../../firmware/cycle/orders.ts";
import type { LogRecord } from "../../firmware/log/record.ts";
import { loadPins } from "../../sim/bench/load.ts";
import { loopShare } from "../../sim/signals.ts";

export const root = new URL("../..", import.meta.url).pathname;
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
	/** What the meter sees while the pump is demanded, L/h. */
	flowLph: number;
	/** Motor current while both contacts are closed, A. */
	motorAmps: number;
	/** Current that flows whatever the contacts do, A. */
	strayAmps: number;
	/** Channels that report nothing, or something old. */
	silent: Set<string>;
	/** Raw values that stand in place of the true ones. */
	odd: Map<string, number>;
	ageMs: number;
	armed: boolean;
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
		flowLph: 95,
		motorAmps: 1.7,
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

	polish(polish: Partial<Polish> = {}): void {
		const full = { tank: "port", litres: 60, attended: false, ...polish };
		this.commands.push({ type: "polish", id: `story-${this.nowMs}`, polish: full });
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
		if (this.state.motorOn) {
			const litres = (this.facts.flowLph * elapsedMs) / 3_600_000;
			this.pulses += litres * this.rig.meter.pulsesPerLitre;
		}
		const commands = this.commands;
		this.commands = [];
		const { commissioned, armed, durableSeq, logFailed } = this.facts;
		const written = this.state.nextSeq - 1;
		const log = {
			durableSeq: durableSeq === "all" ? written : durableSeq,
			ageMs: this.facts.logAgeMs,
			failed: logFailed,
		};
		return { nowMs: this.nowMs, readings: this.readings(), commands, commissioned, armed, log };
	}

	tick(elapsedMs: number): void {
		const result = this.controller.tick(this.state, this.inputs(elapsedMs));
		this.state = result.state;
		this.outputs = result.outputs;
		this.history.push(result.outputs);
		this.records.push(...result.records);
	}

	of<K extends LogRecord["kind"]>(kind: K): Array<Extract<LogRecord, { kind: K }>> {
		return this.records.filter((record) => record.kind === kind) as Array<
			Extract<LogRecord, { kind: K }>
		>;
	}

	private readings(): Readings {
		const { facts } = this;
		const amps = facts.strayAmps + (this.state.motorOn ? facts.motorAmps : 0);
		const raw: Record<string, number> = {
			"flow-pulse": Math.floor(this.pulses),
			"acknowledge-button": facts.buttonPressed ? 1 : 0,
			"stop-loop": counts(pins.channels["stop-loop"], facts.stopPressed ? Infinity : 0),
			"bowl-probe": counts(pins.channels["bowl-probe"], facts.probeOhm),
			board: 1,
			vacuum: 460,
			"supply-volts": 3150,
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

function counts(channel: Channel | undefined, farOhm: number): number {
	if (channel?.kind !== "analog" || channel.loop === undefined) throw new Error("no loop there");
	return Math.floor(1024 * loopShare(channel.loop, farOhm));
}

/** A world in which the rig polishes. */
export function polishing(rig?: Rig): World {
	const world = new World(rig);
	world.pass(1);
	world.polish();
	world.passUntil(() => world.name === "polishing", 60);
	return world;
}
