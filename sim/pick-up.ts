// The end of the tube: whether fuel covers it, and what it draws, fuel, free water or sludge, from
// where it stands. A pick-up draws from a little above and below its end.

import type { Fuel } from "./fuel.ts";
import {
	change,
	DIRT,
	FREE,
	type Masses,
	moveKg,
	moveShare,
	noMasses,
	SPECIES,
	volumeM3,
} from "./species.ts";
import type { Tank } from "./tank.ts";

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
	private readonly fuel: Fuel;

	constructor(clearanceM: number, fuel: Fuel) {
		this.clearanceM = clearanceM;
		this.fuel = fuel;
	}

	meet(inAir: boolean): void {
		this.airShare = inAir ? 1 : clamp((REACH_M / 2 - this.depthM) / REACH_M);
	}

	/** Draws `wantM3`, its share of air left out, from the tank into `to`; `gotM3` is what came. */
	draw(source: Tank, to: Masses): void {
		const { fuel, clearanceM } = this;
		const liquid = this.wantM3 * (1 - this.airShare);
		if (liquid <= 0) return;
		const low = Math.max(0, clearanceM - REACH_M);
		const reach = clearanceM + REACH_M - low;
		const slug = this.pocket[FREE] === 0 ? 0 : this.drawPocket(liquid, to);
		const water = (liquid - slug) * clamp((source.waterDepthM - low) / reach);
		const perKg = fuel.m3PerKg[FREE] as number;
		let got = slug;
		if (water > 0) got += moveKg(source.floor, to, FREE, water / perKg) * perKg;
		const near = SLUDGE_SHARE * clamp((source.sludgeDepthM - low) / reach);
		if (near > 0) {
			this.drawSludge(source, (liquid - got) * near, to);
			got = volumeM3(to, fuel.m3PerKg);
		}
		const bulk = source.bulkThen;
		this.gotM3 = got;
		if (got >= liquid || bulk <= 0) return;
		const share = Math.min(1, (liquid - got) / bulk);
		moveShare(source.bulk, to, share);
		this.gotM3 = got + share * bulk;
	}

	private drawSludge({ floor, sludgeKg }: Tank, sludgeM3: number, to: Masses): void {
		let all = 0;
		for (let i = DIRT; i < SPECIES; i += 1) all += floor[i] as number;
		if (all <= 0) return;
		const share = Math.min(1, sludgeKg(sludgeM3) / all);
		for (let i = DIRT; i < SPECIES; i += 1) change(floor, i, to, i, share * (floor[i] as number));
	}

	private drawPocket(liquid: number, to: Masses): number {
		const { pocket } = this;
		const perKg = this.fuel.m3PerKg[FREE] as number;
		return moveKg(pocket, to, FREE, liquid / perKg) * perKg;
	}
}

const clamp = (share: number): number => Math.max(0, Math.min(1, share));
