// What a person who proves the rig types: each entry that commissioning may ask for, read off the
// instruments, counted at the box or taken from what has been seen at the rig. Imports the rig's
// model and its instruments.

import { RUN_S_MAX } from "../dead-man.ts";
import { Instruments, SPANS } from "../instruments.ts";
import type { RigModel } from "../rig.ts";

export type Typed = Readonly<Record<string, number | string>>;

/** A hose that leaks air loses so much of its test pressure in ten minutes, kPa (invented). */
const LEAKY_KPA = 20;
const TIGHT_KPA = 0.5;
/** No can is read better, L (common practice, no source). */
const LITRES_MIN = 0.002;
/** Into a cup from a return that siphons, L (invented). */
const SIPHONED_LITRES = 0.15;
/** From even over ± to a standard deviation. */
const EVEN = 1 / Math.sqrt(3);

export class PersonsAnswers {
	private readonly model: RigModel;
	private readonly instruments: Instruments;
	private readonly wrongly: Typed;
	private counted = { pumpLamp: 0, tripLamp: 0, horn: 0 };
	/** What the clamp meter showed when the pump last ran. */
	private clampAmps = 0;
	private canLitres = 0;
	private flowMs = 0;
	private thenMs = 0;

	constructor(model: RigModel, seed: number, wrongly: Typed = {}) {
		this.model = model;
		this.instruments = new Instruments(model, seed);
		this.wrongly = wrongly;
	}

	/** A step begins: what lamps and horn do from now on is counted. */
	begin(): void {
		const { pumpLamp, tripLamp, horn } = this.model.shown;
		this.counted = { pumpLamp, tripLamp, horn };
	}

	/** The stopwatch runs while something comes into the can. */
	watch(nowMs: number): void {
		const { measuredLitres } = this.model.path;
		if (measuredLitres < this.canLitres) this.flowMs = 0;
		if (measuredLitres > this.canLitres) this.flowMs += nowMs - this.thenMs;
		this.canLitres = measuredLitres;
		this.thenMs = nowMs;
		if (this.model.motor.speed > 0.99 && nowMs % 1_000 === 0) {
			this.clampAmps = this.instruments.clampAmps;
		}
	}

	/** @param entries names of what is asked for; a name that nobody knows is left out */
	to(entries: readonly string[]): Record<string, number | string> {
		const values: Record<string, number | string> = {};
		for (const name of entries) {
			const value = this.wrongly[name] ?? this.of(name);
			if (value !== null) values[name] = value;
		}
		return values;
	}

	private of(name: string): number | string | null {
		const { model, instruments, counted } = this;
		switch (name) {
			case "label":
				return model.rig.rig.slice(0, 40);
			case "lampsAlone":
				return Number(model.has("k1-welded")) + Number(model.has("k2-welded"));
			case "lamp-pump":
				return model.shown.pumpLamp - counted.pumpLamp;
			case "lamp-trip":
				return model.shown.tripLamp - counted.tripLamp;
			case "horn":
				return model.shown.horn - counted.horn;
			case "airHpa":
			case "dipFrom":
			case "dipTo":
			case "thermometerC":
			case "meterVolts":
				return instruments[name];
			case "openedHours":
				return RUN_S_MAX / 3_600;
			case "closedAgain":
				return 0;
			case "fellKpa":
				return model.has("air-leak") ? LEAKY_KPA : TIGHT_KPA;
			case "wetJoints":
				return model.has("hose-off") ? 1 : 0;
			case "clampAmps":
				return this.clampAmps;
			case "cupMl":
				return instruments.cupMl(model.has("siphon") ? SIPHONED_LITRES : 0);
			case "litres":
				return instruments.canLitres;
			case "litresUncertainty":
				return Math.max(LITRES_MIN, rounded3(EVEN * SPANS.canShare * model.path.measuredLitres));
			case "seconds":
				return instruments.stopwatch(this.flowMs / 1_000);
			default:
				return null;
		}
	}
}

const rounded3 = (value: number): number => Number(value.toFixed(3));
