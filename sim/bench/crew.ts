// The people and the mishaps of a scenario: what they do to the rig and send to the controller, at
// their times or upon what happens. It sees the rig's truth and the controller's records.

import type { Command } from "../../firmware/cycle/orders.ts";
import type { LogRecord } from "../../firmware/log/record.ts";
import type { RigModel } from "../rig.ts";
import { Agenda } from "./agenda.ts";
import type { CrewAction, Scenario, TruthEvent } from "./scenario.ts";

/** A button is held down for so long, ms. */
const PRESS_MS = 400;

/** The people and the mishaps of a scenario. */
export class Crew {
	armed: boolean;
	readonly happened = new Map<TruthEvent, number>();
	private readonly model: RigModel;
	private readonly agenda = new Agenda();
	private commands: Command[] = [];
	private numbered = 0;

	constructor(scenario: Scenario, model: RigModel) {
		this.model = model;
		this.armed = scenario.start.armed;
		for (const { polish, ...when } of scenario.orders) {
			this.agenda.add(when, () => this.send({ type: "polish", id: this.nextId(), polish }));
		}
		for (const { fault, size, overSeconds, forSeconds, ...when } of scenario.faults) {
			this.agenda.add(when, (nowMs) => {
				model.breaks(fault, size, overSeconds);
				this.note(fault, nowMs / 1000);
				if (forSeconds === undefined) return;
				this.agenda.at(nowMs + Math.round(forSeconds * 1000), () => model.mends(fault));
			});
		}
		for (const { does, ...when } of scenario.crew) {
			this.agenda.add(when, (nowMs) => this.does(does, nowMs));
		}
	}

	get pending(): number {
		return this.agenda.pending + this.commands.length;
	}

	act(nowMs: number): void {
		this.agenda.run(nowMs);
	}

	takeCommands(): readonly Command[] {
		const taken = this.commands;
		if (taken.length > 0) this.commands = [];
		return taken;
	}

	/** Notices trips and states in what the controller wrote. */
	read(records: readonly LogRecord[], nowMs: number): void {
		for (const record of records) {
			if (record.kind === "trip") this.agenda.notice("uponTrip", record.code, nowMs);
			if (record.kind === "state") this.agenda.notice("uponState", record.to, nowMs);
		}
	}

	/** Notices what happened in the world. */
	watch(nowS: number): void {
		if (this.model.waterAtProbeS !== null) this.note("water-at-probe", nowS);
	}

	private note(event: TruthEvent, nowS: number): void {
		if (!this.happened.has(event)) this.happened.set(event, nowS);
	}

	private does(action: CrewAction, nowMs: number): void {
		const { model } = this;
		switch (action) {
			case "drain-bowl": {
				const waterMl = Math.round(model.path.drainBowl());
				this.send({ type: "note-drained", id: this.nextId(), waterMl });
				break;
			}
			case "fill-bowl":
				model.path.fillBowl();
				break;
			case "press-acknowledge":
				model.buttonPressed = true;
				this.agenda.at(nowMs + PRESS_MS, () => {
					model.buttonPressed = false;
				});
				break;
			case "press-stop":
				model.stopPressed = true;
				this.note("stop-pressed", nowMs / 1000);
				break;
			case "release-stop":
				model.stopPressed = false;
				break;
			case "open-isolator":
				// Whoever opens it ends the arming: somebody is at the rig and may move things.
				model.isolatorClosed = false;
				this.armed = false;
				break;
			case "close-isolator":
				model.isolatorClosed = true;
				break;
			case "lower-tube":
				model.mends("tube-lifted");
				break;
			case "arm":
			case "disarm":
				this.armed = action === "arm";
				break;
			case "acknowledge-by-link":
				this.send({ type: "acknowledge", id: this.nextId() });
				break;
			case "stop-by-link":
				this.send({ type: "stop", id: this.nextId() });
				break;
		}
	}

	private send(command: Command): void {
		this.commands.push(command);
	}

	private nextId(): string {
		this.numbered += 1;
		return `bench-${this.numbered}`;
	}
}
