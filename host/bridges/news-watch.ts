// What of a controller's state is worth a message ashore: each trip once, and again while it stays
// open where that is wanted; an order that ended without one; a controller that stops answering and
// one that answers again. However it flaps, only so much is told in an hour, and trips come first.
// Pure: time is an argument.

import type { Status } from "../../firmware/link/protocol.ts";
import { tripWords } from "../report/trip-words.ts";
import type { LinkState } from "../web/scene.ts";
import type { News } from "./news.ts";

export interface NewsRules {
	/** A trip that is open for so long is told again, and again; null: once is enough, ms. */
	readonly againMs: number | null;
}

/** A controller is lost when it has not answered for so long: a cable may be put back, ms. */
const LOST_MS = 60_000;
/** What opens and closes and opens again is told no sooner after the last time, ms. */
const QUIET_MS = 60_000;
/** So many messages at once, then one more each three minutes. */
const AT_ONCE = 20;
const REFILL_MS = 180_000;
/** Left for trips by everything else. */
const FOR_TRIPS = 10;
/** The link tells the worst so many: what is not among them may be open all the same. */
const TRIPS_TOLD = 3;
/** More codes than there are, of a controller that makes them up. */
const CODES_MAX = 64;

interface OpenTrip {
	/** Null until it has been told. */
	toldMs: number | null;
}

type Order = NonNullable<Status["order"]>;

export class NewsWatch {
	private readonly rules: NewsRules;
	private readonly open = new Map<string, OpenTrip>();
	/** When each code was told last. */
	private readonly told = new Map<string, number>();
	private order: { readonly order: Order; readonly run: Status["run"] } | null = null;
	private pumpDemanded: boolean | null = null;
	private downSinceMs: number | null = null;
	private isLostTold = false;
	private left = AT_ONCE;
	private refilledMs: number | null = null;

	constructor(rules: NewsRules) {
		this.rules = rules;
	}

	/** @param status the last one that is known @param nowMs monotonic */
	look(status: Status | null, link: LinkState, rig: string, nowMs: number): News[] {
		this.refill(nowMs);
		// What was heard before the line went says nothing about now.
		if (!link.isUp || status === null) return this.miss(link, rig, nowMs);
		const news = [...this.find(rig), ...this.trips(status, rig, nowMs), ...this.ends(status, rig)];
		this.pumpDemanded = status.pumpDemanded;
		return news;
	}

	private miss({ isUp, why }: LinkState, rig: string, nowMs: number): News[] {
		if (isUp) return [];
		this.downSinceMs ??= nowMs;
		if (this.isLostTold || nowMs - this.downSinceMs < LOST_MS || !this.spend(FOR_TRIPS)) return [];
		this.isLostTold = true;
		const pump =
			this.pumpDemanded === null
				? "it has not been heard yet"
				: `the pump was ${this.pumpDemanded ? "ON" : "off"} when it was last heard`;
		const reason = why === "" ? "" : ` (${why})`;
		const cause = `the controller has not answered for a minute${reason}; ${pump}`;
		const toDo = "look at the rig itself: what the pump does now is not known here";
		return [{ event: "controller-lost", rig, trip: "", cause, toDo }];
	}

	private find(rig: string): News[] {
		this.downSinceMs = null;
		if (!this.isLostTold) return [];
		this.isLostTold = false;
		if (!this.spend(FOR_TRIPS)) return [];
		const cause = "the controller answers again";
		return [{ event: "controller-back", rig, trip: "", cause, toDo: "" }];
	}

	private trips({ trips: shown }: Status, rig: string, nowMs: number): News[] {
		const isWhole = shown.length < TRIPS_TOLD || this.open.size > CODES_MAX;
		const codes = new Set(shown.map(({ code }) => code));
		for (const code of this.open.keys()) {
			if (isWhole && !codes.has(code)) this.open.delete(code);
		}
		for (const [code, toldMs] of this.told) {
			if (nowMs - toldMs >= QUIET_MS) this.told.delete(code);
		}
		return shown.flatMap(({ code, cause }) => {
			const trip = this.open.get(code) ?? { toldMs: null };
			this.open.set(code, trip);
			const { againMs } = this.rules;
			const isFirst = trip.toldMs === null;
			const isDue = againMs !== null && trip.toldMs !== null && nowMs - trip.toldMs >= againMs;
			// It waits for its turn as long as it is open: no trip that stays is left out.
			if ((!isFirst && !isDue) || this.told.has(code) || !this.spend(0)) return [];
			trip.toldMs = nowMs;
			this.told.set(code, nowMs);
			const words = tripWords(code, cause);
			const toDo = `${words.toDo}. Then acknowledge ${words.where}.`;
			const event = isFirst ? "trip" : "trip-still-open";
			return [{ event, rig, trip: code, cause: words.cause, toDo }];
		});
	}

	private ends(status: Status, rig: string): News[] {
		const { order: now, run, trips: open, pulsesPerLitre } = status;
		const before = this.order;
		this.order = now === null ? null : { order: now, run };
		if (before === null || before.order.id === now?.id) return [];
		// The trip tells of it; and the run is the next order's already where there is one.
		if (open.length > 0 || !this.spend(FOR_TRIPS)) return [];
		const cause = endWords(before.order, now === null ? run : before.run, pulsesPerLitre);
		return [{ event: "order-ended", rig, trip: "", cause, toDo: "" }];
	}

	private refill(nowMs: number): void {
		this.refilledMs ??= nowMs;
		const more = Math.floor((nowMs - this.refilledMs) / REFILL_MS);
		this.left = Math.min(AT_ONCE, this.left + more);
		this.refilledMs += more * REFILL_MS;
	}

	/** @param kept so many have to stay for others @returns false when none is left */
	private spend(kept: number): boolean {
		if (this.left <= kept) return false;
		this.left -= 1;
		return true;
	}
}

/** A person's stop ends an order too: it is said how far it came. */
function endWords(order: Order, run: Status["run"], pulsesPerLitre: number): string {
	const { work, tank, toTank, goalLitres, goalHours } = order;
	const where = toTank === null ? tank : `${tank} into ${toTank}`;
	const litres = run.pulses / pulsesPerLitre;
	const hours = run.motorMs / 3_600_000;
	const moved = `${litres.toFixed(2)} L in ${hours.toFixed(3)} h of pumping`;
	const goals = [
		...(goalLitres === null ? [] : [`${goalLitres.toFixed(goalLitres < 10 ? 2 : 0)} L`]),
		...(goalHours === null ? [] : [`${goalHours.toFixed(1)} h`]),
	];
	const goal = goals.length === 0 ? "" : ` (its goal: ${goals.join(" or ")})`;
	return `the order to ${work} ${where} has ended: ${moved}${goal}`;
}
