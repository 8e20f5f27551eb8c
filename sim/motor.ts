// The electric side, plain: contacts K1 and K2 in series, the motor's current, the battery's volts
// and the motor's case temperature as one thermal mass.

import type { Rig } from "../firmware/config/rig.ts";

/** Case temperature rise of a run without end, and its time constant (invented motor). */
const RISE_C = 75;
const HEATING_S = 1_800;
/** An unloaded motor draws less (common practice, no source). */
const DRY_SHARE = 0.85;
/** Open-circuit volts lost from full to empty, lead-acid near the reference rows' 1.2 V. */
const SAG_VOLTS = 1.2;

export class Motor {
	powered = false;
	amps = 0;
	volts: number;
	caseC: number;
	pumpOnSeconds = 0;
	ampHours = 0;
	voltsMin: number;
	caseMaxC: number;

	private readonly rig: Rig;
	private readonly restVolts: number;
	private readonly airC: number;

	constructor(rig: Rig, restVolts: number, airC: number) {
		this.rig = rig;
		this.restVolts = restVolts;
		this.airC = airC;
		this.volts = restVolts;
		this.voltsMin = restVolts;
		this.caseC = airC;
		this.caseMaxC = airC;
	}

	step(dtS: number, powered: boolean, wet: boolean): void {
		const { runningAmps } = this.rig.pump;
		const { batteryAh, internalOhm } = this.rig.supply;
		this.powered = powered;
		this.amps = this.powered ? runningAmps * (wet ? 1 : DRY_SHARE) : 0;
		this.ampHours += (this.amps * dtS) / 3600;
		const sag = (SAG_VOLTS * this.ampHours) / batteryAh;
		this.volts = this.restVolts - sag - this.amps * internalOhm;
		this.voltsMin = Math.min(this.voltsMin, this.volts);
		if (this.powered) this.pumpOnSeconds += dtS;
		const target = this.airC + (this.powered ? RISE_C : 0);
		this.caseC += (target - this.caseC) * (1 - Math.exp(-dtS / HEATING_S));
		this.caseMaxC = Math.max(this.caseMaxC, this.caseC);
	}
}
