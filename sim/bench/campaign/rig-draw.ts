// Draws a rig that somebody might have built: pump, hoses, bowl, element, meter, tanks, sensors. It
// goes through the rig file's own schema, so that no drawn rig is one that a person could not have
// written. Ranges are invented; they leave a working margin, so that what stops the rig is a fault.

import { type OptionalSensor, optionalSensors } from "../../../firmware/config/optional-sensors.ts";
import type { Rig } from "../../../firmware/config/rig.ts";
import { readRig } from "../../../firmware/config/rig.ts";
import { pumpKinds } from "../../physics/pump.ts";
import { type Dice, rounded } from "./dice.ts";

/** Weight of a metre of diesel, kPa; and what a pump's dry suction has left over for the hoses. */
const KPA_PER_METRE = 8.2;
const DRY_MARGIN = { share: 0.75, kpa: 3 };

export interface RigWish {
	/** Nobody stays at the rig: it has every sensor that such an order asks for. */
	readonly attended: boolean;
	/** Fitted in any case: a fault needs it. */
	readonly fitted: readonly OptionalSensor[];
}

/** @throws InputError when the draw itself is wrong: a bug of this file */
export function drawRig(dice: Dice, wish: RigWish, seed: number): Rig {
	const flowLph = rounded(dice.scaled(50, 170));
	const tube = { lengthMm: dice.whole(900, 1_300), boreMm: boreMm(flowLph) };
	const pump = drawPump(dice, flowLph, tube.lengthMm);
	const file = {
		rig: `drawn rig ${seed}`,
		invented: true,
		fuel: {
			density15KgM3: dice.whole(825, 845),
			viscosity40Mm2s: rounded(dice.between(2.1, 4.2)),
			cloudPointC: dice.whole(-12, -1),
		},
		tanks: drawTanks(dice, tube.lengthMm),
		tube: { ...tube, clearanceMm: dice.whole(3, 8) },
		hose: hose(dice, flowLph),
		returnHose: hose(dice, 1.5 * flowLph),
		bowl: drawBowl(dice),
		element: {
			ratingMicron: dice.one([5, 10, 12, 20, 30]),
			cleanKpa: rounded(dice.between(1.5, 4)),
			changeAtKpa: dice.whole(10, 16),
			dirtToChangeGrams: dice.whole(50, 200),
			dirtEfficiency: rounded(dice.between(0.7, 0.98)),
			waterEfficiency: rounded(dice.between(0.5, 0.95)),
		},
		pump,
		...metered(dice, pump, flowLph),
		sensors: drawSensors(dice, wish),
	};
	return readRig(JSON.stringify(file), `rig of seed ${seed}`);
}

/** Wide enough that hoses take a few kPa. */
const boreMm = (flowLph: number): number => (flowLph < 100 ? 8 : flowLph < 150 ? 10 : 12);

const hose = (dice: Dice, flowLph: number) => ({
	lengthMm: dice.whole(1_500, 3_500),
	boreMm: boreMm(flowLph),
	bends: dice.whole(1, 5),
});

function drawPump(dice: Dice, freeFlowLph: number, tubeMm: number) {
	const kind = dice.one(["diaphragm", "vane", "gear", "solenoid-pulse"]);
	const { deadHeadKpa, drySuctionKpa } = pumpKinds[kind];
	const liftMm = (1e3 * (DRY_MARGIN.share * drySuctionKpa - DRY_MARGIN.kpa)) / KPA_PER_METRE;
	const ratedVolts = dice.chance(85) ? 12 : 24;
	const runMinutesMax = dice.whole(8, 60);
	return {
		kind,
		freeFlowLph,
		heightMm: dice.whole(500, Math.round(Math.min(tubeMm, liftMm))),
		bypassKpa: rounded(dice.between(0.75, 0.85) * deadHeadKpa),
		pressureSwitchKpa: rounded(dice.between(0.5, 0.62) * deadHeadKpa),
		runningAmps: rounded((dice.between(1.2, 2.6) * 12) / ratedVolts),
		ratedVolts,
		runMinutesMax,
		restMinutes: rounded(dice.between(0, 0.5) * runMinutesMax),
		dryRunSecondsMax: dice.whole(25, 50),
	};
}

function drawTanks(dice: Dice, tubeMm: number) {
	const names = ["port", "starboard", "day"].slice(0, dice.whole(2, 3));
	return names.map((name) => {
		const volumeLitres = Math.round(dice.scaled(60, 600));
		const depthMm = dice.whole(350, 700);
		const fillerMm = Math.max(0, tubeMm - depthMm) + dice.whole(0, 100);
		const shape = dice.one(["rectangular", "rectangular", "wedge", "horizontal-cylinder"]);
		return { name, volumeLitres, depthMm, fillerMm, shape };
	});
}

function drawBowl(dice: Dice) {
	const volumeMl = dice.whole(500, 1_600);
	return {
		volumeMl,
		sumpToProbeMl: Math.round(dice.between(0.18, 0.3) * volumeMl),
		probeToCarryoverMl: Math.round(dice.between(0.25, 0.45) * volumeMl),
		diameterMm: dice.whole(75, 115),
	};
}

/** A turbine stands still in slow flow: only a large pump has one. */
function drawMeter(dice: Dice, flowLph: number) {
	const isTurbine = flowLph > 110 && dice.chance(40);
	const kind: Rig["meter"]["kind"] = isTurbine ? "turbine" : "positive-displacement";
	return { kind, pulsesPerLitre: dice.whole(350, 1_000) };
}

type DrawnPump = Pick<Rig["pump"], "kind" | "runningAmps">;

function metered(dice: Dice, pump: DrawnPump, flowLph: number) {
	const meter = drawMeter(dice, flowLph);
	return { meter, ...drawSupply(dice, pump, flowLph, meter.kind) };
}

function drawSupply(
	dice: Dice,
	{ kind, runningAmps }: DrawnPump,
	flowLph: number,
	meterKind: Rig["meter"]["kind"],
) {
	const chemistry = dice.one(["flooded", "flooded", "absorbed", "iron-phosphate"]);
	const isIron = chemistry === "iron-phosphate";
	// Air turns a turbine too: only more than that proves fuel.
	const provesLph = meterKind === "turbine" ? 0.55 * flowLph : Math.min(35, 0.4 * flowLph);
	const primedFlowLph = rounded(provesLph);
	return {
		supply: {
			batteryAh: dice.whole(60, 200),
			chemistry,
			internalOhm: rounded(dice.between(0.02, 0.08)),
			fuseA: Math.ceil(2.5 * runningAmps),
		},
		setpoints: {
			primedFlowLph,
			dryFlowLph: rounded(primedFlowLph / 3),
			// Its whole suction is little more than the usual limit.
			...(kind === "solenoid-pulse" ? { vacuumStopKpa: 25 } : {}),
			...(isIron ? { supplyHoldVolts: 12.9, supplyResumeVolts: 13.05 } : {}),
		},
	};
}

function drawSensors(dice: Dice, { attended, fitted }: RigWish): OptionalSensor[] {
	// All but the tap guard what nobody attends.
	const percent = attended ? 60 : 100;
	return optionalSensors.filter((name) => {
		const isDrawn = dice.chance(name === "bowl-tap" ? 50 : percent);
		return isDrawn || fitted.includes(name);
	});
}
