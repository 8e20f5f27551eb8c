// The people and the mishaps of a scenario: what they do to the rig and send to the controller, at
// their times or upon what happens. It sees the rig's truth and the controller's records.

import type { Step } from "../../firmware/commission/step-ways.ts";
import type { Command } from "../../firmware/cycle/commands.ts";
import { dateTimeMs } from "../../firmware/local-time.ts";
import type { LogRecord } from "../../firmware/log/record.ts";
import { type Fault, faults } from "../faults.ts";
import { handActs, isHandAct } from "../hand-acts.ts";
import type { RigModel } from "../rig.ts";
import { Sea } from "../sea.ts";
import { Agenda } from "./agenda.ts";
import type { CrewAct } from "./crew-schema.ts";
import type { Scenario, TruthEvent, When } from "./scenario.ts";

/** A button is held down for so long, ms. */
const PRESS_MS = 400;
/** Held for so long to arm, ms. */
const HOLD_MS = 3_500;
/** The isolator is open for so long where somebody only ends the arming, ms. */
const OPEN_MS = 2_000;

export type Weather = Omit<Scenario["weather"][number], keyof When>;
type Order = Omit<Scenario["orders"][number], keyof When>;
type Mishap = Omit<Scenario["faults"][number], keyof When | "forSeconds">;

/** Entries of a scenario, each at its time. */
export interface Acts {
	readonly crew: ReadonlyArray<CrewAct & Timed>;
	readonly orders: ReadonlyArray<Order & Timed>;
	readonly weather: ReadonlyArray<Weather & Timed>;
	readonly faults: ReadonlyArray<Mishap & Timed>;
}
interface Timed {
	readonly atSeconds: number;
}

/** What was done to the rig, broke or changed, and when. */
export type Deed =
	| { readonly atMs: number; readonly kind: "crew"; readonly act: CrewAct }
	| { readonly atMs: number; readonly kind: "fault"; readonly fault: Fault }
	| { readonly atMs: number; readonly kind: "weather"; readonly weather: Weather };

/** The people, the mishaps and the weather of a scenario. */
export class Crew {
	/** All that was done so far. */
	readonly deeds: Deed[] = [];
	readonly happened = new Map<TruthEvent, number>();
	/** Somebody sees to it that the order finishes. */
	seesToIt = false;
	/** Steps of commissioning that somebody is to take, and whether all that are due beside them. */
	readonly toProve: Step[] = [];
	provesAll = false;
	/** Somebody is at it. */
	proves = false;
	private readonly added = {
		crew: [] as Array<CrewAct & Timed>,
		orders: [] as Array<Order & Timed>,
		weather: [] as Array<Weather & Timed>,
		faults: [] as Array<Mishap & Timed>,
	};
	private readonly model: RigModel;
	private readonly agenda = new Agenda();
	/** From now on nothing breaks any more, whatever the scenario says. */
	isSpared = false;
	/** Whether the rig counts as proven in every stop. */
	commissioned: boolean;
	private commands: Command[] = [];
	private numbered = 0;

	constructor(scenario: Scenario, model: RigModel) {
		this.model = model;
		this.commissioned = scenario.start.commissioned;
		// Whoever set the rig up has armed it: as the story begins.
		if (scenario.start.armed) this.agenda.at(0, (nowMs) => this.does({ does: "arm" }, nowMs));
		const { localTime } = scenario.start;
		if (localTime !== undefined) this.agenda.at(0, () => this.setClock(localTime));
		for (const order of scenario.orders) this.agenda.add(order, () => this.order(order));
		for (const { plan, ...when } of scenario.plans) {
			this.agenda.add(when, () => this.send({ type: "plan", id: this.nextId(), plan }));
		}
		for (const { forSeconds, ...mishap } of scenario.faults) {
			const { fault } = mishap;
			this.agenda.add(mishap, (nowMs) => {
				if (this.isSpared) return;
				this.strike(mishap, nowMs);
				if (forSeconds === undefined) return;
				this.agenda.at(nowMs + Math.round(forSeconds * 1000), () => model.mends(fault));
			});
		}
		for (const act of scenario.crew) this.agenda.add(act, (nowMs) => this.does(act, nowMs));
		for (const weather of scenario.weather) {
			this.agenda.add(weather, (nowMs) => this.turn(weather, nowMs));
		}
	}

	get pending(): number {
		return this.agenda.pending + this.commands.length;
	}

	act(nowMs: number): void {
		this.agenda.run(nowMs);
	}

	/** What was done that the scenario does not say, as entries that would say it. */
	get unscripted(): Acts {
		return this.added;
	}

	/** Does at once what the scenario does not say. */
	adds(act: CrewAct, nowMs: number): void {
		this.added.crew.push({ atSeconds: nowMs / 1000, ...act });
		this.does(act, nowMs);
	}

	addsOrder(order: Order, nowMs: number): void {
		this.added.orders.push({ atSeconds: nowMs / 1000, ...order });
		this.order(order);
	}

	addsWeather(weather: Weather, nowMs: number): void {
		this.added.weather.push({ atSeconds: nowMs / 1000, ...weather });
		this.turn(weather, nowMs);
	}

	/** Something breaks that the scenario does not know of; to be mended by an act. */
	addsFault(mishap: Mishap, nowMs: number): void {
		this.added.faults.push({ atSeconds: nowMs / 1000, ...mishap });
		this.strike(mishap, nowMs);
	}

	/** Whether nothing that was planned is due by then: what is added cannot meet it. */
	isFree(nowMs: number): boolean {
		return !this.agenda.isDue(nowMs);
	}

	private strike({ fault, size, overSeconds }: Mishap, nowMs: number): void {
		this.model.breaks(fault, size, overSeconds);
		this.deeds.push({ atMs: nowMs, kind: "fault", fault });
		this.note(fault, nowMs / 1000);
	}

	private order({ polish, transfer, sweep }: Order): void {
		const id = this.nextId();
		if (polish !== undefined) this.send({ type: "polish", id, polish });
		if (transfer !== undefined) this.send({ type: "transfer", id, transfer });
		if (sweep !== undefined) this.send({ type: "sweep", id, sweep });
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
			if (record.kind === "proof" && record.passed) {
				this.agenda.notice("uponProof", record.step, nowMs);
			}
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

	private does(act: CrewAct, nowMs: number): void {
		const { model } = this;
		const { path } = model;
		this.deeds.push({ atMs: nowMs, kind: "crew", act });
		switch (act.does) {
			case "commission":
				this.commissioned = true;
				break;
			case "drain-bowl": {
				const waterMl = Math.round(path.drainBowl());
				this.send({ type: "note-drained", id: this.nextId(), waterMl });
				break;
			}
			case "fill-bowl":
				path.fillBowl();
				break;
			case "fetch-can":
				model.fetchCan();
				break;
			case "wet-probe":
				path.bowl.wet();
				break;
			case "change-element":
				model.changeElement();
				break;
			case "press-acknowledge":
			case "confirm":
				this.press(nowMs, PRESS_MS);
				break;
			case "press-stop":
				model.stopPressed = true;
				this.note("stop-pressed", nowMs / 1000);
				break;
			case "release-stop":
				model.stopPressed = false;
				break;
			case "open-isolator":
				model.isolatorClosed = false;
				break;
			case "close-isolator":
				model.isolatorClosed = true;
				break;
			case "lower-tube":
				model.mends("tube-lifted");
				break;
			case "seat-tube":
				// Lifted, cleared and put back where it was.
				model.mends("tube-unseated");
				model.mends("tube-lifted");
				model.mends("tube-blocked");
				model.puts({ tubeLifted: false });
				break;
			case "seat-return":
				model.mends("return-out");
				model.mends("return-in-wrong-tank");
				model.puts({ returnLifted: false });
				break;
			case "move-tube":
				path.tubeTank = path.tanks.get(act.tank ?? "");
				break;
			case "move-return":
				path.returnTank = path.tanks.get(act.tank ?? "");
				break;
			case "pour":
				model.fetchCan();
				model.pour(act.tank ?? "", act.litres ?? 0);
				break;
			case "pour-water":
				model.pourWater(act.tank ?? "", act.litres ?? 0);
				break;
			case "add-sludge":
				model.addDirt(act.tank ?? "", act.grams ?? 0, "floor");
				break;
			case "add-dirt":
				model.addDirt(act.tank ?? "", act.grams ?? 0, "bulk");
				break;
			case "dry-tray":
				path.trayLitres = 0;
				break;
			case "change-battery":
				model.supply.renew(act.volts ?? 0);
				break;
			case "mend":
				for (const fault of act.fault === undefined ? faults : [act.fault]) {
					if (model.has(fault)) model.mends(fault);
				}
				break;
			case "see-to-it":
				this.seesToIt = true;
				break;
			case "prove-all":
				this.provesAll = true;
				this.proves = true;
				break;
			case "prove":
				if (act.step !== undefined) this.toProve.push(act.step);
				this.proves = true;
				break;
			case "look-on":
				break;
			case "restart-controller":
				model.breaks("controller-restarts");
				break;
			case "arm":
				this.press(nowMs, HOLD_MS);
				break;
			case "disarm":
				model.isolatorClosed = false;
				this.agenda.at(nowMs + OPEN_MS, () => {
					model.isolatorClosed = true;
				});
				break;
			case "acknowledge-by-link":
				this.send({ type: "acknowledge", id: this.nextId() });
				break;
			case "stop-by-link":
				this.send({ type: "stop", id: this.nextId() });
				break;
			default:
				if (isHandAct(act.does)) handActs[act.does].does(model);
		}
	}

	/** The weather turns: what is left out stays as it is. */
	private turn(weather: Weather, nowMs: number): void {
		const { sea, heelDeg, airC, airSwingK, fuelC, chargerAmps } = weather;
		this.deeds.push({ atMs: nowMs, kind: "weather", weather });
		const { model } = this;
		if (sea !== undefined) model.sea = new Sea(sea, 0);
		model.heelDeg = heelDeg ?? model.heelDeg;
		model.airC = airC ?? model.airC;
		model.airSwingK = airSwingK ?? model.airSwingK;
		model.fuel.celsius = fuelC ?? model.fuel.celsius;
		model.chargerAmps = chargerAmps ?? model.chargerAmps;
	}

	/** By a watch that goes well. */
	private setClock(localTime: string): void {
		const clock = { utcMs: dateTimeMs(localTime), offsetMinutes: 0, uncertaintyMs: 1_000 };
		this.send({ type: "set-clock", id: this.nextId(), clock });
	}

	private press(nowMs: number, forMs: number): void {
		this.model.buttonPressed = true;
		this.agenda.at(nowMs + forMs, () => {
			this.model.buttonPressed = false;
		});
	}

	/** Whoever proves the rig is done with it, or gives up. */
	endProving(): void {
		this.toProve.length = 0;
		this.provesAll = false;
		this.proves = false;
	}

	/** Over the link, from whoever holds the laptop. */
	send(command: Command): void {
		this.commands.push(command);
	}

	nextId(): string {
		this.numbered += 1;
		return `bench-${this.numbered}`;
	}
}
