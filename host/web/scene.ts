// What a page shows of a controller, and what it may ask of it: the same whether it stands at the
// other end of the link or in the page itself. Types alone; the browser and the server import it.

import type { Rig } from "../../firmware/config/rig.ts";
import type { Work } from "../../firmware/cycle/order-schemas.ts";
import type { Senses, Status } from "../../firmware/link/protocol.ts";

/** A thing that happened, in the words of the account. */
export interface EventLine {
	/** Number of the record that tells of it. */
	readonly seq: number;
	/** Since the boot. */
	readonly monoMs: number;
	/** Unix time, ms; null while nobody has told the rig the time. */
	readonly utcMs: number | null;
	readonly what: string;
	readonly why: string;
	readonly isTrip: boolean;
}

/** One moment of the charts; null where nothing was known. */
export interface Point {
	/** Since the boot. */
	readonly monoMs: number;
	readonly flowLph: number | null;
	readonly vacuumKpa: number | null;
	readonly motorAmps: number | null;
	readonly supplyVolts: number | null;
}

export interface Series {
	/** Of the last ten minutes, one a second. */
	readonly recent: readonly Point[];
	/** Of the run at work or the last one, thinned to some hundreds. */
	readonly run: readonly Point[];
}

/** How the page stands with the controller. */
export interface LinkState {
	readonly isUp: boolean;
	/** Age of status and senses when this was sent, ms; null before the first. */
	readonly heardAgoMs: number | null;
	/** Why there is none, in words; empty while it is up. */
	readonly why: string;
}

export interface Session {
	/** May order, or only write notes, or neither. */
	readonly may: "order" | "note" | "look";
	/** When it ends unless it is used; null without one, ms. */
	readonly endsInMs: number | null;
}

export interface SceneNow {
	readonly source: "rig" | "bench";
	/** As its file says it; null before it has come over the link. */
	readonly rig: Rig | null;
	readonly boot: number | null;
	readonly link: LinkState;
	readonly status: Status | null;
	readonly senses: Senses | null;
	/** First to last, the latest hundred. */
	readonly events: readonly EventLine[];
	readonly session: Session;
}

/** What nobody aboard can know, on the bench alone. */
export interface TruthNow {
	readonly bowlWaterMl: number;
	readonly flowLph: number;
	readonly vacuumKpa: number;
	readonly litresThroughPump: number;
	readonly litresSpilled: number;
	readonly dryPumpSeconds: number;
	readonly freeWaterPastBowlMl: number;
	/** By tank, L. */
	readonly fuelLitres: Readonly<Record<string, number>>;
}

export interface Answer {
	readonly accepted: boolean;
	readonly reasons: readonly string[];
}

/** What the buttons of a live page do. */
export interface Deeds {
	stop(): Promise<Answer>;
	order(work: Work, isCoverageSeen: boolean): Promise<Answer>;
	acknowledge(): Promise<Answer>;
	/** Asks that a code be shown; null where none is needed. */
	readonly showCode: (() => Promise<{ isShown: boolean; waitSeconds: number }>) | null;
	/** @returns null when it was right, or how many tries are left */
	readonly pair: ((code: string) => Promise<number | null>) | null;
	/** Ends the session before its time; left out where there is none to end. */
	readonly unpair?: () => Promise<void>;
}
