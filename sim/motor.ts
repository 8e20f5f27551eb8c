// The pump's motor: it runs up and down, draws current by its load and grows warm. Its flow follows
// its speed. Invented where the rig file says nothing.

import type { Rig } from "../firmware/config/rig.ts";
import { NOUGHT } from "./physics/fraction.ts";
import { currentShare, type PumpKindRow } from "./physics/pump.ts";
import { kindOf, stallAmps } from "./rig-parts.ts";

/** Time to run up, s; case temperature's rise in a run without end, K, and its time constant, s. */
const RUN_UP_S = 0.08;
const RISE_K = 60;
const HEATING_S = 1_800;

export class Motor {
	powered = false;
	/** Speed as a share of the one that its volts give. */
	speed = NOUGHT;
	amps = NOUGHT;
	caseC = NOUGHT;
	caseMaxC = NOUGHT;
	onSeconds = NOUGHT;
	seized = false;
	/** What a blocked cooling adds to the case's rise in a run without end, K. */
	uncooledK = NOUGHT;
	private readonly kind: PumpKindRow;
	private readonly runningAmps: number;
	private readonly stallAmps: number;
	private readonly ratedVolts: number;
	private dtS = NOUGHT;
	private runUp = NOUGHT;
	private warming = NOUGHT;

	constructor(rig: Rig, airC: number) {
		this.kind = kindOf(rig);
		this.runningAmps = rig.pump.runningAmps;
		this.stallAmps = stallAmps(rig);
		this.ratedVolts = rig.pump.ratedVolts;
		this.caseC = airC;
		this.caseMaxC = airC;
	}

	/**
	 * @param volts at the motor
	 * @param headShare pressure difference over the pump's dead head
	 * @param airShare of what the pump moves
	 */
	step(dtS: number, powered: boolean, volts: number, headShare: number, airShare: number): void {
		if (dtS !== this.dtS) {
			this.dtS = dtS;
			this.runUp = -Math.expm1(-dtS / RUN_UP_S);
			this.warming = -Math.expm1(-dtS / HEATING_S);
		}
		this.powered = powered;
		const target = powered === true && this.seized === false ? 1 : 0;
		this.speed += (target - this.speed) * this.runUp;
		if (Math.abs(target - this.speed) < 1e-9) this.speed = target;
		const voltsShare = volts / this.ratedVolts;
		const running = this.runningAmps * currentShare(this.kind, headShare, airShare);
		const stalled = this.stallAmps * voltsShare;
		this.amps = powered === true ? running + (stalled - running) * (1 - this.speed) : 0;
		if (powered === true) this.onSeconds += dtS;
	}

	/** The case follows the heat of its current, with the square of it. */
	warm(airC: number): void {
		const load = this.amps / this.runningAmps;
		const target = airC + (RISE_K + this.uncooledK) * load * load;
		this.caseC += (target - this.caseC) * this.warming;
		if (this.caseC > this.caseMaxC) this.caseMaxC = this.caseC;
	}
}
