// One story with the real controller in the loop, up to the first stop of a polish: when the pump
// went off, what for, and what was true then. Imports the bench.

import { projectRoot } from "../../host/cli/root.ts";
import { loadPins } from "../../sim/bench/load.ts";
import { scenarioSchema } from "../../sim/bench/scenario.ts";
import { Session, TICK_MS } from "../../sim/bench/session.ts";
import { ModelBoard } from "../../sim/model-board.ts";
import { RigModel } from "../../sim/rig.ts";
import { FREE, moveShare, WATER_DENSITY_KG_M3 } from "../../sim/species.ts";
import type { Story } from "./dry-stories.ts";
import { AIR, Covered } from "./dry-traces.ts";

const TICK_S = TICK_MS / 1000;
/** Who attends presses the button that often, s. */
const CONFIRM_S = 600;
/** The last minute is over before it is judged, s. */
const MINUTE_S = 60;
const pins = loadPins(projectRoot);

export interface Stop {
	/** A trip's code, or `held`, or how the order ended. */
	readonly what: string;
	/** From the first fuel of the order. */
	readonly atS: number;
	readonly coveredShare: number;
	/** Since when more air than fuel was at the pump's inlet, s before it; 0: there was fuel. */
	readonly airForS: number;
	/** Since when water was at the probe, s before it; null while it was below. */
	readonly waterForS: number | null;
}

export interface ClosedRun {
	/** Time with fuel proven, s; 0 where the pump never got any. */
	readonly polishedS: number;
	readonly stop: Stop | null;
	/** For how long there has been more air than fuel, and hardly any fuel, as it ends, s. */
	readonly airForS: number;
	readonly dryForS: number;
	/** Hardly any fuel was left to the pump at some time. */
	readonly wasDry: boolean;
	/** When less than that of the last minute had been covered, from the first fuel, s. */
	readonly lowAtS: number | null;
}

export interface ClosedOptions {
	readonly seconds: number;
	readonly happensAtS: number;
	/** Water that stands in the bowl from the beginning, mL. */
	readonly waterMl?: number;
	readonly lowShare?: number;
}

export function playClosed(story: Story, options: ClosedOptions): ClosedRun {
	const { seconds, happensAtS, waterMl = 0, lowShare = 0 } = options;
	// Two hours at a stretch are more than a pump is rated for; its heat is no matter here.
	const sensors = story.rig.sensors.filter((name) => name !== "case-temperature");
	const rig = { ...story.rig, sensors };
	const { world } = story;
	const seed = world.seed ?? 0;
	const model = new RigModel(rig, world);
	fillWithWater(model, waterMl);
	const session = new Session(
		scenarioOf(seconds),
		rig,
		pins,
		model,
		new ModelBoard(model, pins, seed),
	);
	const covered = new Covered();
	let fuelAtS: number | null = null;
	let lowAtS: number | null = null;
	let airS = 0;
	let dryS = 0;
	let wasDry = false;
	let onS = 0;
	while (!session.over) {
		const wasOn = model.motor.powered;
		session.tick();
		const waterForS = model.waterAtProbeS === null ? null : model.elapsedS - model.waterAtProbeS;
		model.step(TICK_S);
		session.afterStep();
		const nowS = session.nowMs / 1000;
		onS = model.motor.powered ? onS + TICK_S : 0;
		const share = covered.add(model.path.pickUp.depthM > 0);
		const { path } = model;
		if (wasOn && !model.motor.powered) {
			const { records } = session.end("model");
			const fuel = records.find((record) => record.kind === "state" && record.to === "polishing");
			if (fuel === undefined) continue;
			const from = fuel.monoMs / 1000;
			const trip = records.find((record) => record.kind === "trip");
			const what = trip?.code ?? (records.some(({ kind }) => kind === "held") ? "held" : "ended");
			const atS = nowS - from;
			const stop = { what, atS, coveredShare: share, airForS: airS, waterForS };
			const low = lowAtS === null ? null : lowAtS - from;
			return { polishedS: atS, stop, airForS: airS, dryForS: dryS, wasDry, lowAtS: low };
		}
		airS = path.pumpAirShare >= AIR ? airS + TICK_S : 0;
		dryS = path.dry ? dryS + TICK_S : 0;
		// A prime takes less: from here on it polishes, and began a little earlier.
		if (fuelAtS === null && onS > rig.pump.dryRunSecondsMax) fuelAtS = nowS;
		if (onS >= MINUTE_S && share < lowShare) lowAtS ??= nowS;
		if (fuelAtS === null) continue;
		const sinceS = nowS - fuelAtS;
		wasDry ||= path.dry;
		if (sinceS >= happensAtS) story.happens(model, sinceS - happensAtS);
	}
	const polishedS = fuelAtS === null ? 0 : session.nowMs / 1000 - fuelAtS;
	return { polishedS, stop: null, airForS: airS, dryForS: dryS, wasDry, lowAtS: null };
}

/** Water in place of as much fuel at the bowl's foot. */
function fillWithWater({ path: { bowl, container } }: RigModel, waterMl: number): void {
	bowl.measure();
	moveShare(bowl.mixed, container, (waterMl * 1e-6) / bowl.liquidM3);
	bowl.sump[FREE] = waterMl * 1e-6 * WATER_DENSITY_KG_M3;
}

function scenarioOf(seconds: number) {
	const confirms = Array.from({ length: Math.floor(seconds / CONFIRM_S) }, (_, i) => ({
		atSeconds: (i + 1) * CONFIRM_S,
		does: "confirm",
	}));
	return scenarioSchema.parse({
		title: "A score",
		invented: true,
		rig: "drawn",
		seed: 0,
		start: { commissioned: true, armed: true, tube: "port", return: "port", tanks: {} },
		orders: [{ atSeconds: 10, polish: { tank: "port", litres: 50_000, attended: true } }],
		crew: confirms,
		hoursMax: (seconds + 60) / 3_600,
		expect: [{ outcome: "unfinished" }],
	});
}
