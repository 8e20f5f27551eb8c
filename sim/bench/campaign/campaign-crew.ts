// The people of a campaign. While faults strike there is nobody, or one who stays at the rig, says
// so at the button, and presses stop at a spill. Afterwards somebody mends all that is broken, does
// what each trip asks, and orders again what is left, as the trip catalogue tells the reader.

import type { TripCode } from "../../../firmware/cycle/trips.ts";
import { rigTally } from "../../../firmware/totals.ts";
import { type Fault, faults } from "../../faults.ts";
import type { RigModel } from "../../rig.ts";
import { CALM, Sea } from "../../sea.ts";
import type { CrewAction } from "../crew-schema.ts";
import type { Session } from "../session.ts";
import { restOf, tankOf } from "./order-draw.ts";
import type { Story } from "./story-draw.ts";
import { chargedVolts } from "./world-draw.ts";

/** Whoever attends presses the button so often, and looks at the tray so often, s. */
const CONFIRMS_S = 500;
/** Spill that somebody beside it sees, L. */
const SEEN_LITRES = 0.02;
/** The crew looks at the box so often, s. */
const LOOKS_S = 20;
/** After a button was held, or an order given, the controller has answered, s. */
const ANSWERS_S = 6;
/** Damped senders have followed a tank that was filled, s. */
const SETTLES_S = 180;
/** Fuel is warm enough for any rig, °C; a can, L; a tank is refilled below so much of it. */
const WARM_C = 12;
const CAN_LITRES = 20;
const LOW_SHARE = 0.25;
const FILLED_SHARE = 0.3;
/** After so many trips on a mended rig a crew gives up. */
const TRIPS_MAX = 25;
/** Dirt in the element beyond which it is changed while the bowl is open, share of its limit. */
const DIRTY_SHARE = 0.25;

/** Trips at which the element is changed, and those at which the bowl is opened and refilled. */
const PLUGGED: readonly TripCode[] = ["restriction-high", "suction-blocked"];
const OPENS: readonly TripCode[] = [...PLUGGED, "tank-vent-blocked", "dry-run", "prime-failed"];

export class CampaignCrew {
	private readonly story: Story;
	private readonly model: RigModel;
	private readonly session: Session;
	private confirmS = 0;
	private spillS = Number.POSITIVE_INFINITY;
	private dueS = 0;
	/** What is to be done one after the other, at the crew's own pace. */
	private tasks: Array<() => void> = [];
	private triesToOrder = 0;
	private readTo = 0;
	private trips = 0;
	private hasFinished = false;

	constructor(story: Story, model: RigModel, session: Session) {
		this.story = story;
		this.model = model;
		this.session = session;
	}

	private get attended(): boolean {
		return this.story.attended;
	}

	/** A second while faults strike. */
	attend(atS: number): void {
		this.confirm(atS);
		if (!this.attended) return;
		const { litresSpilled } = this.model.path.truth;
		if (litresSpilled > SEEN_LITRES && this.spillS > atS) this.spillS = atS;
		if (atS === this.spillS + this.story.seesAfterS) this.does("press-stop");
	}

	private confirm(atS: number): void {
		if (!this.attended || atS - this.confirmS < CONFIRMS_S || !this.isAtWork) return;
		this.confirmS = atS;
		this.does("confirm");
	}

	private get isAtWork(): boolean {
		const { doing } = this.session;
		return doing !== "idle" && doing !== "tripped";
	}

	/** All that is broken is mended, and the weather is kind. */
	mend(): void {
		const { model, session } = this;
		const { path, fuel, supply, rig } = model;
		this.readTo = session.log.length;
		session.crew.isSpared = true;
		for (const fault of faults) this.mendOne(fault);
		model.stopPressed = false;
		model.isolatorClosed = true;
		path.trayLitres = 0;
		path.element.plugging = 1;
		model.sea = new Sea(CALM, 0);
		supply.renew(chargedVolts(rig));
		fuel.celsius = Math.max(WARM_C, fuel.celsius);
		if (session.isDead) session.restart(session.nowMs);
	}

	private mendOne(fault: Fault): void {
		if (this.model.has(fault)) this.model.mends(fault);
	}

	/** What the ordered tank lacks where it is low, L. */
	private get lackLitres(): number {
		const holds = this.model.path.tanks.get(tankOf(this.story.order));
		if (holds === undefined || holds.volumeM3 > LOW_SHARE * holds.capacityM3) return 0;
		return 1e3 * (FILLED_SHARE * holds.capacityM3 - holds.volumeM3);
	}

	/** Cans go into a tank that is low; never while an order watches its level. */
	private refill(): void {
		let { lackLitres } = this;
		while (lackLitres > 0) {
			this.model.fetchCan();
			this.model.pour(tankOf(this.story.order), Math.min(CAN_LITRES, lackLitres));
			lackLitres -= CAN_LITRES;
		}
	}

	/** A second of bringing the order to its end. */
	recover(atS: number): "at it" | "finished" | "gave up" {
		this.readLog();
		if (this.hasFinished && !this.isAtWork) return "finished";
		if (this.trips > TRIPS_MAX) return "gave up";
		this.confirm(atS);
		if (atS < this.dueS) return "at it";
		const next = this.tasks.shift();
		if (next === undefined) this.look(atS);
		else {
			next();
			this.dueS = atS + (this.tasks.length > 0 ? ANSWERS_S : LOOKS_S);
		}
		return "at it";
	}

	/** What was written since the crew came; what ended before is no proof that the rig works. */
	private readLog(): void {
		const { log } = this.session;
		for (; this.readTo < log.length; this.readTo += 1) {
			const record = log[this.readTo];
			if (record?.kind === "trip") this.trips += 1;
			if (record?.kind === "run-end") this.hasFinished = record.outcome === "finished";
		}
	}

	private look(atS: number): void {
		const { doing } = this.session;
		this.dueS = atS + LOOKS_S;
		if (doing === "tripped") this.tasks = this.answerTrips();
		if (doing !== "idle") return;
		if (this.lackLitres > 0) {
			this.refill();
			this.dueS = atS + SETTLES_S;
		} else this.tasks = this.orderAgain();
	}

	/** What the open trips ask for, and then the button. */
	private answerTrips(): Array<() => void> {
		const { session } = this;
		const codes = session.cycle.context.trips.map(({ code }) => code);
		const isWet = codes.includes("water-in-bowl") || this.model.waterAtProbeS !== null;
		const isPlugged = codes.some((code) => PLUGGED.includes(code));
		const opens = isWet || codes.some((code) => OPENS.includes(code));
		// The order is given up, so that the tank may be filled.
		const isLow = this.lackLitres > 0 && session.cycle.context.order !== null;
		return [
			...(isLow ? [() => this.does("stop-by-link")] : []),
			...(opens ? [() => this.does("open-isolator")] : []),
			...(isWet ? [() => this.wetProbe(), () => this.does("drain-bowl")] : []),
			...(isPlugged ? [() => this.model.changeElement()] : []),
			...(opens ? [() => this.fillBowl(), () => this.does("close-isolator"), () => {}] : []),
			() => this.pressFor(),
		];
	}

	/** A drain counts only if the probe is seen to go from wet to dry: water is poured in. */
	private wetProbe(): void {
		const trip = this.session.cycle.context.trips.find(({ code }) => code === "water-in-bowl");
		if (trip === undefined || trip.drainSeen || this.model.waterAtProbeS !== null) return;
		this.model.path.bowl.wet();
	}

	private fillBowl(): void {
		const { element } = this.model.path;
		const dirtyKg = (DIRTY_SHARE * this.model.rig.element.dirtToChangeGrams) / 1e3;
		if (element.dirtKg > dirtyKg) this.model.changeElement();
		this.model.fetchCan();
		this.does("fill-bowl");
	}

	/** Held down, the box's button arms as well. */
	private pressFor(): void {
		this.does(this.attended ? "press-acknowledge" : "arm");
	}

	private orderAgain(): Array<() => void> {
		const { story, session, model } = this;
		const logged = rigTally(session.totals).pulses / model.rig.meter.pulsesPerLitre;
		// At the third try a short one must do: nobody waits for a whole night's work again.
		const left = this.triesToOrder < 2 ? story.order.litres - logged : 0;
		this.triesToOrder += 1;
		const holds = (tank: string) => 1e3 * (model.path.tanks.get(tank)?.volumeM3 ?? 0);
		const { order } = restOf(story.order, left, holds);
		return [...(this.attended ? [] : [() => this.does("arm")]), () => session.crew.order(order)];
	}

	private does(action: CrewAction): void {
		this.session.crew.does({ does: action }, this.session.nowMs);
	}
}
