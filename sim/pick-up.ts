// The end of the tube: whether fuel covers it, and what it draws, fuel, free water or sludge, from
// where it stands. A pick-up draws from a little above and below its end.

import type { Fuel } from "./fuel.ts";
import type { Masses } from "./species.ts";
import * as species from "./species.ts";
import type { Tank } from "./tank.ts";

const { FREE, DIRT, dirtKg, moveDirt, moveShare, moveKg, noMasses } = species;

/** How far above and below its end it draws from, m: about its bore. */
const REACH_M = 0.006;
/** Of the sludge within reach so much comes along; the rest must creep near first (invented). */
const SLUDGE_SHARE = 0.15;

export class PickUp {
	/** Height of its end above the tank's floor, m. */
	readonly clearanceM: number;
	/** Of its end under the surface, above it negative, m. */
	depthM = 0;
	/** What it is to draw, air and all, and what liquid came, m³. */
	wantM3 = 0;
	gotM3 = 0;
	/** Share of air in what it draws. */
	airShare = 0;
	/** A pocket of free water that has broken loose and comes first. */
	readonly pocket: Masses = noMasses();
	private sludgeM3 = 0;
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
		this.airShare = inAir === true ? 1 : clamp((REACH_M / 2 - this.depthM) / REACH_M);
	}

	/** Draws `wantM3`, its share of air left out, from the tank into `to`; `gotM3` is what came. */
	draw(source: Tank, to: Masses): void {
		const { fuel, lowM, reachM } = this;
		const liquid = this.wantM3 * (1 - this.airShare);
		this.gotM3 = 0;
		if (liquid <= 0) return;
		source.measureFloor();
		let got = this.pocket[FREE] === 0 ? 0 : this.drawPocket(liquid, to);
		if (source.waterThenM > lowM) {
			const perKg = fuel.m3PerKg[FREE] as number;
			const water = (liquid - got) * Math.min(1, (source.waterThenM - lowM) / reachM);
			got += moveKg(source.floor, to, FREE, water / perKg) * perKg;
		}
		if (source.sludgeThenM > lowM) {
			const near = SLUDGE_SHARE * Math.min(1, (source.sludgeThenM - lowM) / reachM);
			this.sludgeM3 = (liquid - got) * near;
			this.drawSludge(source, to);
			got += this.sludgeM3;
		}
		const bulk = source.bulkThen;
		this.gotM3 = got;
		if (got >= liquid || bulk <= 0) return;
		const left = liquid - got;
		const share = left < bulk ? left / bulk : 1;
		moveShare(source.bulk, to, share);
		this.gotM3 = got + share * bulk;
	}

	/** Of `sludgeM3` of sludge its dirt alone: `sludgeM3` is what volume that has. */
	private drawSludge(source: Tank, to: Masses): void {
		const { floor } = source;
		const all = dirtKg(floor);
		const kg = source.sludgeKg(this.sludgeM3);
		const share = kg < all ? kg / all : 1;
		this.sludgeM3 = share * all * (this.fuel.m3PerKg[DIRT] as number);
		moveDirt(floor, to, share);
	}

	private drawPocket(liquid: number, to: Masses): number {
		const { pocket } = this;
		const perKg = this.fuel.m3PerKg[FREE] as number;
		return moveKg(pocket, to, FREE, liquid / perKg) * perKg;
	}
}

const clamp = (share: number): number => Math.max(0, Math.min(1, share));
