// What the page is shown of the bench: the scene as any page has it, the truth that nobody aboard
// can know, and the world as the controls show it. Pure.

import { type HoldCause, holdRows } from "../../../firmware/cycle/holds.ts";
import type { TripCode } from "../../../firmware/cycle/trips.ts";
import { statusOf } from "../../../firmware/standing.ts";
import { faults } from "../../../sim/faults.ts";
import { dirtKg, FREE, FUEL } from "../../../sim/species.ts";
import { eventLines } from "../../report/event-lines.ts";
import type { SceneNow, TruthNow } from "../scene.ts";
import type { BenchEngine } from "./engine.ts";
import type { TankNow, WorldNow } from "./world.ts";

const LPH_PER_M3S = 3.6e6;
const STEP_S = 0.1;
const DEG_PER_RAD = 180 / Math.PI;

/** @param why there is no link to it, in words, for a controller that completes no tick */
export function sceneOf({ session, look, rig, ticks }: BenchEngine, why: string): SceneNow {
	const { state, outputs, log } = session.now;
	const { isDead, nowMs } = session;
	const records = session.log;
	const clock = records.findLast((record) => record.kind === "clock");
	const ofBoot = records.filter(({ boot }) => boot === state.boot);
	return {
		source: "bench",
		rig,
		boot: state.boot,
		link: {
			isUp: !isDead,
			heardAgoMs: isDead ? nowMs - state.nowMs : 0,
			why: isDead ? why : "",
		},
		status: statusOf(rig, state, outputs, log, { ticks, lateMsMax: 0 }),
		senses: look.senses(state, session.crew.commissioned),
		events: eventLines(ofBoot, rig.meter.pulsesPerLitre, clock ?? null),
		session: { may: "order", endsInMs: null },
	};
}

export function truthOf({ model }: BenchEngine): TruthNow {
	const { path } = model;
	const { truth } = path;
	return {
		bowlWaterMl: path.bowl.sumpWaterM3 * 1e6,
		flowLph: Math.max(0, ((path.pumpedM3 - path.pumpedAirM3) / STEP_S) * LPH_PER_M3S),
		vacuumKpa: path.vacuumKpa,
		litresThroughPump: truth.litresThroughPump,
		litresSpilled: truth.litresSpilled,
		dryPumpSeconds: truth.dryPumpSeconds,
		freeWaterPastBowlMl: truth.freeWaterPastBowlMl,
		fuelLitres: Object.fromEntries(
			[...path.tanks].map(([name, tank]) => [name, 1e3 * tank.volumeM3]),
		),
	};
}

export function worldOf(engine: BenchEngine): WorldNow {
	const { model, session, sea } = engine;
	const { path, supply, motor, deadMan } = model;
	return {
		nowMs: session.nowMs,
		tanks: tanksOf(engine),
		tubeTank: nameOf(engine, path.tubeTank),
		returnTank: nameOf(engine, path.returnTank),
		sea,
		heelDeg: model.heelDeg,
		rollDeg: model.rollRad * DEG_PER_RAD,
		airC: model.airC,
		airSwingK: model.airSwingK,
		fuelC: model.fuel.celsius,
		chargerAmps: model.chargerAmps,
		supplyVolts: supply.volts,
		motorAmps: motor.amps,
		motorCaseC: motor.caseC,
		elementGrams: 1e3 * path.element.dirtKg,
		trayLitres: path.trayLitres,
		isWaterAtProbe: model.waterAtProbeS !== null,
		isPumpOn: motor.powered,
		isStopPressed: model.stopPressed,
		isIsolatorClosed: model.isolatorClosed,
		isDeadManHolding: deadMan.holds,
		isDead: session.isDead,
		faults: faults
			.filter((fault) => model.has(fault))
			.map((fault) => ({ fault, size: model.sizeOf(fault) })),
		acting: actingIn(engine),
		waiting: engine.waiting,
	};
}

/** Open trips, and what a held order would trip by in the end. */
function actingIn({ session }: BenchEngine): TripCode[] {
	const { context } = session.cycle;
	const held: readonly HoldCause[] = session.doing === "held" ? context.heldFor : [];
	return [...context.trips.map(({ code }) => code), ...held.map((cause) => holdRows[cause].code)];
}

function tanksOf({ model, rig }: BenchEngine): TankNow[] {
	const { m3PerKg } = model.fuel;
	return [...model.path.tanks].map(([name, { bulk, floor }]) => ({
		name,
		volumeLitres: rig.tanks.find((tank) => tank.name === name)?.volumeLitres ?? 0,
		fuelLitres: 1e3 * (bulk[FUEL] ?? 0) * (m3PerKg[FUEL] ?? 0),
		waterLitres: 1e3 * (floor[FREE] ?? 0) * (m3PerKg[FREE] ?? 0),
		sludgeGrams: 1e3 * dirtKg(floor),
		dirtGrams: 1e3 * dirtKg(bulk),
	}));
}

function nameOf({ model }: BenchEngine, wanted: unknown): string {
	for (const [name, tank] of model.path.tanks) if (tank === wanted) return name;
	return "";
}
