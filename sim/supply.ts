// The supply: battery with its rest voltage by charge, inner and cable resistance, Peukert's law, a
// charger, and a fuse that melts by current squared and time. Charge and rest voltage are reckoned
// once a second, the voltage at the pump at each step.

import type { Rig } from "../firmware/config/rig.ts";
import { batteryKinds } from "./battery-kinds.ts";
import {
	chargeAtRest,
	chargerAmps,
	effectiveAmps,
	type Rating,
	type RestCurve,
	restVolts,
} from "./physics/battery.ts";
import { NOUGHT } from "./physics/fraction.ts";

/** Charging voltage of 12 V (common practice, no source). */
const CHARGING_VOLTS = 14.4;
/** A blade fuse carries 1.1 of its rating for ever and melts in 5 s at twice it: A² s per A². */
const FUSE_HOLDS = 1.1;
const FUSE_MELTS_S = 14;

export class Supply {
	/** At the pump. */
	volts: number;
	voltsMin: number;
	ampHours = NOUGHT;
	charge: number;
	chargerAmps = NOUGHT;
	/** Resistance beyond the rated one: a battery gone weak, a bad joint, Ω. */
	extraOhm = NOUGHT;
	fuseMelted = false;
	private readonly rating: Rating;
	private readonly curve: RestCurve;
	private readonly cells: number;
	private readonly ohm: number;
	private readonly fuseA: number;
	private rest: number;
	private heat = NOUGHT;

	constructor(rig: Rig, startVolts: number) {
		const { supply } = rig;
		this.cells = rig.pump.ratedVolts / 12;
		const { curve, exponent } = batteryKinds[supply.chemistry];
		this.curve = curve;
		this.rating = { capacityAh: supply.batteryAh, ratedHours: 20, exponent };
		this.ohm = supply.internalOhm;
		this.fuseA = supply.fuseA;
		this.charge = chargeAtRest(this.curve, startVolts / this.cells);
		this.rest = startVolts;
		this.volts = startVolts;
		this.voltsMin = startVolts;
	}

	/** Another battery is put in its place, with a whole fuse. */
	renew(restVoltage: number): void {
		this.charge = chargeAtRest(this.curve, restVoltage / this.cells);
		this.rest = restVoltage;
		this.fuseMelted = false;
		this.heat = 0;
	}

	/** @param amps that the motor takes */
	step(dtS: number, amps: number): void {
		this.ampHours += (amps * dtS) / 3600;
		this.volts = this.rest - (amps - this.chargerAmps) * (this.ohm + this.extraOhm);
		if (this.volts < this.voltsMin) this.voltsMin = this.volts;
		const over = (amps / this.fuseA) * (amps / this.fuseA) - FUSE_HOLDS * FUSE_HOLDS;
		this.heat = Math.max(0, this.heat + over * dtS);
		if (this.heat > FUSE_MELTS_S) this.fuseMelted = true;
	}

	/** A second of discharge at `amps` and of charge by a charger of `chargerMaxA`. */
	pass(dtS: number, amps: number, chargerMaxA: number, faultVolts: number | null): void {
		const { rating, curve, cells } = this;
		const before = restVolts(curve, this.charge) * cells;
		const ohm = this.ohm + this.extraOhm;
		const voltsMax = faultVolts ?? CHARGING_VOLTS * cells;
		// Against what the battery shows, surface charge and all.
		this.chargerAmps = chargerAmps({ ampsMax: chargerMaxA, voltsMax }, this.rest, ohm, amps);
		const out = amps - this.chargerAmps;
		const used = out > 0 ? effectiveAmps(rating, out) : out;
		this.charge = Math.min(1, Math.max(0, this.charge - (used * dtS) / 3600 / rating.capacityAh));
		// Start volts above the curve are surface charge: they stay until used.
		this.rest += restVolts(curve, this.charge) * cells - before;
	}
}
