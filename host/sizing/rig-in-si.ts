// A rig as sizing takes it: the rig model's own parts in SI, and what the `sizing` block adds.
// Imports sim's parts and physics. The element's two resistances follow the rig model's element:
// its stated restrictions hold at free flow in the fuel at 15 °C.

import type { Rig } from "../../firmware/config/rig.ts";
import { batteryKinds } from "../../sim/battery-kinds.ts";
import { pressureAtAltitudePa } from "../../sim/physics/atmosphere.ts";
import { restVolts } from "../../sim/physics/battery.ts";
import type { Diesel } from "../../sim/physics/diesel.ts";
import type { PumpCurve } from "../../sim/physics/pump.ts";
import type { SteadyParts } from "../../sim/physics/steady-point.ts";
import {
	dieselOf,
	kindOf,
	pumpCurve,
	pumpHeightM,
	ratedLiquid,
	returnPipe,
	suctionPipe,
	tubePipe,
} from "../../sim/rig-parts.ts";

/** State of charge that a session is reckoned at where the rest voltage is not stated. */
const CHARGE_SHARE = 0.75;

export interface RigInSi {
	readonly rig: Rig;
	readonly diesel: Diesel;
	readonly curve: PumpCurve;
	readonly steady: SteadyParts;
	readonly tubeRiseM: number;
	readonly hoseRiseM: number;
	readonly clearanceM: number;
	/** Element's drop per flow in the fuel at 15 °C, Pa s/m³. */
	readonly cleanPaPerM3s: number;
	readonly changePaPerM3s: number;
	readonly bowlAreaM2: number;
	/** Share of the hours that the pump's duty lets it run. */
	readonly dutyShare: number;
}

export function rigInSi(rig: Rig): RigInSi {
	const { element, pump, sizing, supply } = rig;
	const tube = tubePipe(rig);
	const curve = pumpCurve(rig);
	const clearanceM = rig.tube.clearanceMm / 1e3;
	const riseM = pumpHeightM(rig) - clearanceM;
	const tubeRiseM = Math.min(tube.lengthM, Math.max(0, riseM));
	return {
		rig,
		diesel: dieselOf(rig),
		curve,
		steady: {
			tube,
			hose: suctionPipe(rig),
			returns: returnPipe(rig),
			riseM,
			kind: kindOf(rig),
			wetSuctionPa: curve.wetSuctionPa,
			atmospherePa: pressureAtAltitudePa(sizing.altitudeM),
			ratedPas: ratedLiquid(rig).dynamicPas,
			ratedVolts: pump.ratedVolts,
			runningAmps: pump.runningAmps,
			restVolts: sizing.batteryVolts ?? usualRestVolts(rig),
			supplyOhm: supply.internalOhm,
		},
		tubeRiseM,
		hoseRiseM: riseM - tubeRiseM,
		clearanceM,
		cleanPaPerM3s: (element.cleanKpa * 1e3) / curve.freeFlowM3s,
		changePaPerM3s: (element.changeAtKpa * 1e3) / curve.freeFlowM3s,
		bowlAreaM2: (Math.PI / 4) * (rig.bowl.diameterMm / 1e3) ** 2,
		dutyShare: pump.runMinutesMax / (pump.runMinutesMax + pump.restMinutes),
	};
}

/** The battery's rest voltage at three quarters of its charge, V. */
export function usualRestVolts({ pump, supply }: Rig): number {
	return (restVolts(batteryKinds[supply.chemistry].curve, CHARGE_SHARE) * pump.ratedVolts) / 12;
}
