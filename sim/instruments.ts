// What a careful person reads off clamp meter, multimeter, thermometer, barometer, dip stick,
// measuring can and stopwatch: the truth with an error of reading that is drawn evenly over the
// instrument's span from a seed. Spans are those of plain instruments (common practice, no source).
// Names are those of the entries that commissioning asks for.

import { uniformInt } from "pure-rand/distribution/uniformInt";
import { xoroshiro128plus } from "pure-rand/generator/xoroshiro128plus";
import type { RigModel } from "./rig.ts";

/** Either way; a share is of the reading. */
export const SPANS = {
	clampShare: 0.015,
	clampAmps: 0.02,
	meterVolts: 0.05,
	thermometerC: 0.5,
	airHpa: 1,
	dipM: 0.003,
	canShare: 0.002,
	cupMl: 1,
	seconds: 0.2,
} as const;

export class Instruments {
	private readonly model: RigModel;
	private readonly even: () => number;

	constructor(model: RigModel, seed: number) {
		this.model = model;
		const random = xoroshiro128plus(seed ^ 0x1a_57);
		this.even = () => uniformInt(random, -1_000, 1_000) / 1_000;
	}

	get clampAmps(): number {
		const { amps } = this.model.motor;
		return rounded(amps + this.even() * (SPANS.clampAmps + SPANS.clampShare * amps), 2);
	}

	get meterVolts(): number {
		return rounded(this.model.supply.volts + this.even() * SPANS.meterVolts, 2);
	}

	get thermometerC(): number {
		return rounded(this.model.fuel.celsius + this.even() * SPANS.thermometerC, 1);
	}

	get airHpa(): number {
		return rounded(this.model.path.atmospherePa / 100 + this.even() * SPANS.airHpa, 0);
	}

	/** By the tank's own table: of its volume. */
	get dipFrom(): number {
		return this.dipped(this.model.path.tubeTank);
	}

	get dipTo(): number {
		return this.dipped(this.model.path.returnTank);
	}

	get canLitres(): number {
		const { measuredLitres } = this.model.path;
		return rounded(measuredLitres * (1 + this.even() * SPANS.canShare), 3);
	}

	/** Of what has run out of a return that siphons, mL. */
	cupMl(litres: number): number {
		return litres === 0 ? 0 : Math.max(0, rounded(1e3 * litres + this.even() * SPANS.cupMl, 0));
	}

	stopwatch(seconds: number): number {
		return rounded(Math.max(0.1, seconds + this.even() * SPANS.seconds), 1);
	}

	private dipped(tank: RigModel["path"]["tubeTank"]): number {
		if (tank === undefined) return 0;
		const errorM3 = (this.even() * SPANS.dipM * tank.capacityM3) / tank.depthM;
		return rounded(Math.min(1, Math.max(0, (tank.volumeM3 + errorM3) / tank.capacityM3)), 3);
	}
}

const rounded = (value: number, digits: number): number => Number(value.toFixed(digits));
