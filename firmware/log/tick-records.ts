// Bodies of the records that a tick writes of itself: what the rig is at boot, a second's sample,
// and what is known of the element. Pure.

import { statedKFactor, statedPumpLph } from "../calibration.ts";
import type { Rig } from "../config/rig.ts";
import type { Order } from "../cycle/orders.ts";
import type { Quantity } from "../sense/quantity.ts";
import type { RestrictionState } from "../sense/restriction.ts";
import type { Sensed } from "../sense/sensed.ts";
import type { Totals } from "../totals.ts";
import type { RecordBody } from "./record.ts";
import { SAMPLE_SCALES } from "./sample-columns.ts";

export function bootBody(rig: Rig): RecordBody {
	const k = statedKFactor(rig);
	const rate = statedPumpLph(rig);
	return {
		kind: "boot",
		rig: rig.rig,
		meter: {
			kind: rig.meter.kind,
			pulsesPerLitre: k.value,
			uncertainty: k.uncertainty,
			isCalibrated: rig.meter.calibrationPct !== undefined,
		},
		pump: {
			lph: rate.value,
			uncertainty: rate.uncertainty,
			isMeasured: rig.pump.measuredLph !== undefined,
		},
	};
}

export function sampleOf(sensed: Sensed, { run }: Totals): RecordBody {
	return {
		kind: "sample",
		flowLph: rounded(sensed.flowLph, SAMPLE_SCALES.flowLph),
		vacuumKpa: rounded(sensed.vacuumKpa, SAMPLE_SCALES.vacuumKpa),
		supplyVolts: rounded(sensed.supplyVolts, SAMPLE_SCALES.supplyVolts),
		motorAmps: rounded(sensed.motorAmps, SAMPLE_SCALES.motorAmps),
		fuelC: rounded(sensed.fuelC, SAMPLE_SCALES.fuelC),
		run,
	};
}

/** To a whole number of steps; never a negative nought, which has no text of its own. */
const rounded = (value: Quantity, scale: number): Quantity =>
	typeof value === "number" ? Math.round(value * scale) / scale + 0 : value;

/** @param order under which the element was last seen at work */
export function restrictionBody(rig: Rig, order: Order, fit: RestrictionState): RecordBody {
	const { cleanKpa, changeAtKpa, dirtToChangeGrams, dirtEfficiency } = rig.element;
	return {
		kind: "restriction",
		tank: order.tank,
		tankLitres: order.toTank === null ? order.turnoverLitres : null,
		element: { cleanKpa, changeAtKpa, dirtToChangeGrams, dirtEfficiency },
		fit,
	};
}
