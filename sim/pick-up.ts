// The end of the tube: whether fuel covers it, and what it draws, fuel, free water or sludge, from
// where it stands. A pick-up draws from a little above and below its end.

import type { Fuel } from "./fuel.ts";
import { NOUGHT } from "./physics/fraction.ts";
import type { Masses } from "./species.ts";
import * as species from "./species.ts";
import { SLUDGE_KG_M3, type Tank } from "./tank.ts";

const { FREE, DIRT, dirtKg, moveDirt, moveShare, moveKg, noMasses } = species;

/** How far above and below its end it draws from, m: about its bore. */
const REACH_M = 0.006;
/** Of the sludge within reach so much comes along; the rest must creep near first (invented). */
const SLUDGE_SHARE = 0.15;

export class PickUp {
	/** Height of its end above the tank's floor, m. */
	readonly clearanceM: number;
	/** Of its end under the surface, above it negative, m. */
	depthM = NOUGHT;
	/** What it is to draw, air and all, and what liquid came, m³. */
	wantM3 = NOUGHT;
	gotM3 = NOUGHT;
	/** Share of air in what it draws. */
	airShare = NOUGHT;
	/** A pocket of free water that has broken loose and comes first. */
	readonly pocket: Masses = noMasses();
	private readonly fuel: Fuel;
	/** What it draws from begins at this height, and is so high, m. */
	private readonly lowM: number;
	private readonly reachM: number;

	constructor(clearanceM: number, fuel: Fuel) {
		this.clearanceM = clearanceM;
		this.fuel = fuel;
		this.lowM = Math.max(0, clearanceM - REACH_M);
		this.reachM = clearanceM + REACH_M - this.lowM;
	}

	meet(inAir: boolean): void {
		const upM = REACH_M / 2 - this.depthM;
		this.airShare = inAir === true || upM >= REACH_M ? 1 : upM > 0 ? upM / REACH_M : 0;
	}

	/** Draws `wantM3`, its share of air left out, from the tank into `to`; `gotM3` is what came. */
	draw(source: Tank, to: Masses): void {
		const { pocket, lowM, reachM } = this;
		const { m3PerKg } = this.fuel;
		const { bulk, floor, bulkThen, waterThenM, sludgeThenM } = source;
		const waterPerKg = m3PerKg[FREE] as number;
		const liquid = this.wantM3 * (1 - this.airShare);
		this.gotM3 = 0;
		if (liquid <= 0) return;
		let got = 0;
		if (pocket[FREE] !== 0) got += moveKg(pocket, to, FREE, liquid / waterPerKg) * waterPerKg;
		if (waterThenM > lowM) {
			const water = (liquid - got) * Math.min(1, (waterThenM - lowM) / reachM);
			got += moveKg(floor, to, FREE, water / waterPerKg) * waterPerKg;
		}
		if (sludgeThenM > lowM) {
			const near = SLUDGE_SHARE * Math.min(1, (sludgeThenM - lowM) / reachM);
			// Of the sludge its dirt alone.
			const kg = (liquid - got) * near * SLUDGE_KG_M3;
			const all = dirtKg(floor);
			const share = kg < all ? kg / all : 1;
			moveDirt(floor, to, share);
			got += share * all * (m3PerKg[DIRT] as number);
		}
		const left = liquid - got;
		if (left > 0 && bulkThen > 0) {
			const share = left < bulkThen ? left / bulkThen : 1;
			moveShare(bulk, to, share);
			got += share * bulkThen;
		}
		this.gotM3 = got;
	}
}
