// What the bench page begins with, made from the project's own files when the pages are built, and
// what its worker and its panels tell each other. Types alone.

import type { PinMap } from "../../../firmware/config/pins.ts";
import type { Rig } from "../../../firmware/config/rig.ts";
import type { Work } from "../../../firmware/cycle/order-schemas.ts";
import type { TripCode } from "../../../firmware/cycle/trips.ts";
import type { Weather } from "../../../sim/bench/crew.ts";
import type { CrewAct } from "../../../sim/bench/crew-schema.ts";
import type { Scenario } from "../../../sim/bench/scenario.ts";
import type { Fault } from "../../../sim/faults.ts";
import type { SeaState } from "../../../sim/sea.ts";
import type { Answer, SceneNow, Series, TruthNow } from "../scene.ts";

/** How a story begins: the rig and its world, and nothing that happens. */
export interface Start {
	readonly name: string;
	readonly rigName: string;
	readonly seed: number;
	readonly start: Scenario["start"];
}

export interface HazardRow {
	readonly hazard: string;
	/** Any of these tells of it; none where no trip can. */
	readonly trips: readonly TripCode[];
}

export interface BenchWorld {
	readonly rigs: Readonly<Record<string, Rig>>;
	readonly pins: PinMap;
	readonly starts: readonly Start[];
	readonly hazards: readonly HazardRow[];
}

/** What somebody does to the bench, or asks of the controller. */
export type BenchDeed =
	| { readonly kind: "crew"; readonly act: CrewAct }
	| { readonly kind: "weather"; readonly weather: Weather }
	| { readonly kind: "fault"; readonly fault: Fault; readonly size?: number }
	| { readonly kind: "order"; readonly work: Work };

export interface TankNow {
	readonly name: string;
	readonly volumeLitres: number;
	readonly fuelLitres: number;
	/** Lies on the floor. */
	readonly waterLitres: number;
	readonly sludgeGrams: number;
	/** Afloat. */
	readonly dirtGrams: number;
}

/** The world as the controls show it. */
export interface WorldNow {
	readonly nowMs: number;
	readonly tanks: readonly TankNow[];
	readonly tubeTank: string;
	readonly returnTank: string;
	readonly sea: SeaState;
	readonly heelDeg: number;
	readonly rollDeg: number;
	readonly airC: number;
	readonly airSwingK: number;
	readonly fuelC: number;
	readonly chargerAmps: number;
	readonly supplyVolts: number;
	readonly motorAmps: number;
	readonly motorCaseC: number;
	readonly elementGrams: number;
	readonly trayLitres: number;
	readonly isWaterAtProbe: boolean;
	readonly isPumpOn: boolean;
	readonly isStopPressed: boolean;
	readonly isIsolatorClosed: boolean;
	readonly isDeadManHolding: boolean;
	/** No tick is completed any more. */
	readonly isDead: boolean;
	/** What is broken, and how much of it there is. */
	readonly faults: ReadonlyArray<{ readonly fault: Fault; readonly size: number }>;
	/** Codes of open trips and of what an order waits for: the hazards that act. */
	readonly acting: readonly TripCode[];
	/** Acts that wait for their tick. */
	readonly waiting: number;
}

/** Times the clock on the wall; null: as fast as it can. */
export type Speed = number | null;

export interface PaceNow {
	readonly isPaused: boolean;
	readonly speed: Speed;
	/** Simulated seconds a second, of the last second or so. */
	readonly achieved: number;
}

/** From the page to the worker. */
export type ToWorker =
	| { readonly kind: "begin"; readonly start: string }
	| { readonly kind: "deed"; readonly deed: BenchDeed; readonly id: number }
	| { readonly kind: "pace"; readonly speed: Speed; readonly isPaused: boolean }
	/** So many ticks more, then it stands still. */
	| { readonly kind: "step"; readonly ticks: number }
	| {
			readonly kind: "save";
			readonly id: number;
			readonly title: string;
			readonly story: string;
	  }
	/** The last frame has been taken in: another one may come. */
	| { readonly kind: "seen" };

export interface Frame {
	readonly scene: SceneNow;
	readonly truth: TruthNow;
	readonly world: WorldNow;
	readonly pace: PaceNow;
	/** Left out where it has not changed. */
	readonly series?: Series;
	readonly start: string;
}

/** From the worker to the page. */
export type FromWorker =
	| {
			readonly kind: "ready";
			readonly starts: readonly string[];
			readonly hazards: readonly HazardRow[];
	  }
	| { readonly kind: "frame"; readonly frame: Frame }
	/** Null: no answer came in the time that one takes. */
	| { readonly kind: "answer"; readonly id: number; readonly answer: Answer | null }
	/** Nothing more is to be loaded from anywhere. */
	| { readonly kind: "whole" }
	/** A scenario's file; null where there is none, or the session is too long for one. */
	| { readonly kind: "saved"; readonly id: number; readonly text: string | null }
	| { readonly kind: "lost"; readonly id: number; readonly why: string };
