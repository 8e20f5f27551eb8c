// How long the pump has turned on air, from the simulator's truth: in one stretch and in five
// minutes outside of priming, and in each try to prime. Limits are those of the safety requirements.

import type { StateName } from "../../firmware/cycle/effects.ts";

/** Outside of priming: in one stretch, and in any five minutes, s. */
const STRETCH_S = 20;
const SUM_S = 30;
const WINDOW_S = 300;
/** A tick or two between the switch and the motor, s. */
const TICKS_S = 0.2;
const TRIES_MAX = 3;

export class DryWatch {
	private stretchS = 0;
	private sumS = 0;
	/** Dry seconds of each second of the last five minutes. */
	private readonly seconds = new Float64Array(WINDOW_S);
	private second = 0;
	private tryS = 0;
	private tries = 0;
	private powered = false;

	step(atS: number, dtS: number, powered: boolean, dry: boolean, doing: StateName): void {
		if (doing === "priming") this.prime(dtS, powered, dry);
		else if (doing !== "resting" && doing !== "held") this.tries = 0;
		this.powered = powered;
		const isDry = powered && dry && doing !== "priming";
		this.stretchS = isDry ? this.stretchS + dtS : 0;
		this.forget(Math.floor(atS));
		if (!isDry) return;
		this.sumS += dtS;
		const place = this.second % WINDOW_S;
		this.seconds[place] = (this.seconds[place] as number) + dtS;
	}

	get isTooLong(): boolean {
		return this.stretchS > STRETCH_S || this.sumS > SUM_S;
	}

	/** @param tryMaxS the pump's own limit on dry runs */
	isPrimedTooLong(tryMaxS: number): boolean {
		return this.tryS > tryMaxS + TICKS_S || this.tries > TRIES_MAX;
	}

	/** A try is a stretch in which the motor turns. */
	private prime(dtS: number, powered: boolean, dry: boolean): void {
		if (powered && !this.powered) {
			this.tries += 1;
			this.tryS = 0;
		}
		if (powered && dry) this.tryS += dtS;
		else if (!powered) this.tryS = 0;
	}

	private forget(second: number): void {
		if (second === this.second) return;
		if (this.sumS > 0) {
			const gone = Math.min(WINDOW_S, second - this.second);
			for (let i = 1; i <= gone; i += 1) {
				const place = (this.second + i) % WINDOW_S;
				this.sumS -= this.seconds[place] as number;
				this.seconds[place] = 0;
			}
			// Sums of tenths leave a rest behind.
			if (this.sumS < 1e-6) this.sumS = 0;
		}
		this.second = second;
	}
}
