// Somebody who sees to it that an order finishes: does what each open trip asks, presses the box's
// button, and orders again what is left, as the trip catalogue tells its reader. Sees the box, the
// tanks and the log. Acts through the crew, so that each act is known by its time.

import type { LogRecord } from "../../firmware/log/record.ts";
import { rigTally } from "../../firmware/totals.ts";
import type { RigModel } from "../rig.ts";
import { restOf, tankOf } from "./campaign/order-draw.ts";
import type { CrewAct, CrewAction } from "./crew-schema.ts";
import { Remedies } from "./remedies.ts";
import type { Scenario } from "./scenario.ts";
import type { Session } from "./session.ts";

/** Whoever attends presses the button so often, s. */
const CONFIRMS_S = 500;
/** The crew looks at the box so often, s. */
const LOOKS_S = 20;
/** After a button was held, or an order given, the controller has answered, s. */
const ANSWERS_S = 6;
/** Damped senders have followed a tank that was filled, s. */
const SETTLES_S = 180;
/** A can, L; a tank is refilled below so much of it, and up to so much. */
const CAN_LITRES = 20;
const LOW_SHARE = 0.25;
const FILLED_SHARE = 0.3;
/** After so many trips on a mended rig a crew gives up. */
const TRIPS_MAX = 25;

type Order = Scenario["orders"][number];

/** Whether a person stays at the rig for the whole order. */
export const isAttended = ({ polish, transfer, sweep }: Partial<Order>): boolean =>
	(polish ?? transfer ?? sweep)?.attended === true;

/** Presses the box's button now and then, for an order that somebody attends. */
export class Presence {
	private pressedS = 0;
	private readonly session: Session;

	constructor(session: Session) {
		this.session = session;
	}

	second(atS: number): void {
		if (atS - this.pressedS < CONFIRMS_S || !this.session.isAtWork) return;
		this.pressedS = atS;
		this.session.crew.adds({ does: "confirm" }, this.session.nowMs);
	}
}

export class Caretaker {
	now: "at it" | "finished" | "gave up" = "at it";
	private readonly model: RigModel;
	private readonly session: Session;
	private readonly order: Order | undefined;
	private readonly presence: Presence | null;
	private readonly remedies: Remedies;
	private dueS = 0;
	/** What is to be done one after the other, at the crew's own pace. */
	private tasks: Array<() => void> = [];
	private triesToOrder = 0;
	/** Number of the last record that was read: what ended before is no proof that the rig works. */
	private readSeq: number;
	private trips = 0;
	private hasFinished = false;

	constructor({ orders }: Scenario, model: RigModel, session: Session) {
		this.model = model;
		this.session = session;
		[this.order] = orders;
		const attended = this.order !== undefined && isAttended(this.order);
		this.presence = attended ? new Presence(session) : null;
		this.readSeq = session.log.at(-1)?.seq ?? 0;
		this.remedies = new Remedies(model, session, (action) => this.does(action));
	}

	/** A second of bringing the order to its end. */
	second(atS: number): void {
		if (this.now !== "at it") return;
		this.readLog();
		if (this.hasFinished && !this.session.isAtWork) this.now = "finished";
		else if (this.trips > TRIPS_MAX) this.now = "gave up";
		else this.work(atS);
	}

	private work(atS: number): void {
		this.presence?.second(atS);
		if (atS < this.dueS) return;
		const next = this.tasks.shift();
		if (next === undefined) {
			this.look(atS);
			return;
		}
		next();
		this.dueS = atS + (this.tasks.length > 0 ? ANSWERS_S : LOOKS_S);
	}

	private readLog(): void {
		const { log } = this.session;
		const isRead = ({ seq }: LogRecord) => seq <= this.readSeq;
		for (const record of log.slice(log.findLastIndex(isRead) + 1)) {
			if (record.kind === "trip") this.trips += 1;
			if (record.kind === "run-end") this.hasFinished = record.outcome === "finished";
		}
		this.readSeq = log.at(-1)?.seq ?? this.readSeq;
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

	/** The tank that the ordered work draws from. */
	private get tank(): string {
		return this.order === undefined ? "" : tankOf(this.order);
	}

	/** What the ordered tank lacks where it is low, L. */
	private get lackLitres(): number {
		const holds = this.model.path.tanks.get(this.tank);
		if (holds === undefined || holds.volumeM3 > LOW_SHARE * holds.capacityM3) return 0;
		return 1e3 * (FILLED_SHARE * holds.capacityM3 - holds.volumeM3);
	}

	/** Cans go into a tank that is low; never while an order watches its level. */
	private refill(): void {
		let { lackLitres } = this;
		while (lackLitres > 0) {
			const litres = Math.min(CAN_LITRES, lackLitres);
			this.adds({ does: "pour", tank: this.tank, litres });
			lackLitres -= CAN_LITRES;
		}
	}

	/** What the open trips ask for, and then the button. */
	private answerTrips(): Array<() => void> {
		// The order is given up, so that the tank may be filled.
		const isLow = this.lackLitres > 0 && this.session.cycle.context.order !== null;
		return [
			...(isLow ? [() => this.does("stop-by-link")] : []),
			...this.remedies.forTrips(),
			// Held down, the box's button arms as well.
			() => this.does(this.presence === null ? "arm" : "press-acknowledge"),
		];
	}

	private orderAgain(): Array<() => void> {
		const { session, model, order } = this;
		if (order === undefined) return [];
		const logged = rigTally(session.totals).pulses / model.rig.meter.pulsesPerLitre;
		// At the third try a short one must do: nobody waits for a whole night's work again.
		const wanted = this.triesToOrder < 2 ? ((order.polish ?? order.transfer)?.litres ?? 0) : 0;
		this.triesToOrder += 1;
		const holds = (tank: string) => 1e3 * (model.path.tanks.get(tank)?.volumeM3 ?? 0);
		const rest = restOf(order, wanted - logged, holds);
		return [
			...(this.presence === null ? [() => this.does("arm")] : []),
			() => session.crew.addsOrder(rest, session.nowMs),
		];
	}

	private does(action: CrewAction): void {
		this.adds({ does: action });
	}

	private adds(act: CrewAct): void {
		this.session.crew.adds(act, this.session.nowMs);
	}
}
