// Bowl and element. The bowl is a mixed vessel whose water falls into a sump; what leaves it goes
// through the element, which holds dirt by size and dispersed water by its stated share, and clogs
// as a cake does (Ruth: resistance rises in a straight line with the dirt held). Wax is fuel that
// the element holds while it is colder than the cloud point.

import type { Rig } from "../firmware/config/rig.ts";
import type { Fuel } from "./fuel.ts";
import { NOUGHT, ONE } from "./physics/fraction.ts";
import { dirtEfficiency, pumpCurve, ratedLiquid } from "./rig-parts.ts";
import type { Masses } from "./species.ts";
import * as species from "./species.ts";

const { FUEL, FREE, COARSE, FINE, DIRT, SPECIES, DIRT_MICRON } = species;
const { dirtKg, moveKg, moveShare, noMasses, separate, volumeM3 } = species;

/** Free water in a spinning bowl is visibly down in 15 s (common practice, no source): 3 τ. */
const FALLING_S = 5;
/** The spin makes drops sink so many times faster than gravity alone (invented). */
const SPIN = 4;
/** Air that collects over the bowl's fuel until the outlet draws nothing else, m³ and share. */
const HEADSPACE_M3 = 20e-6;
const HEADSPACE_SHARE = 0.3;
/** Air that is none: a hundred-thousandth of a microlitre at sea level, J. */
const BUBBLE_J = 1e-9;
/** Wax that falls out, kg per kg of fuel and K below the cloud point, and the share held. */
const WAX_PER_K = 1e-3;
const WAX_HELD = 0.8;
/** Wax that doubles an element's resistance, kg; and how fast it melts above the cloud point, s. */
const WAX_DOUBLES_KG = 0.02;
const WAX_MELTS_S = 300;
/** Drops ten times as large get through a coalescing layer so much less often (invented). */
const COARSE_PASSES = 0.25;

export class Bowl {
	/** Everything but what has settled; and the settled water and dirt. */
	readonly mixed: Masses = noMasses();
	readonly sump: Masses = noMasses();
	readonly capacityM3: number;
	gasJ = NOUGHT;
	private readonly fuel: Fuel;
	private readonly areaM2: number;
	private readonly leanM3: number;
	private readonly probeM3: number;
	private readonly carryoverM3: number;
	private readonly headspaceM3: number;
	/** Volume of all that is liquid, when it was last measured, m³. */
	liquidM3 = NOUGHT;
	private mixedM3 = NOUGHT;
	/** Share of each species that falls into the sump in a step of `fallDt`. */
	private readonly falls = new Float64Array(SPECIES);
	private fallDt = NOUGHT;

	constructor({ bowl }: Rig, fuel: Fuel) {
		this.fuel = fuel;
		this.capacityM3 = bowl.volumeMl * 1e-6;
		this.areaM2 = (Math.PI / 4) * (bowl.diameterMm * 1e-3) ** 2;
		this.leanM3 = this.areaM2 * 0.25 * Math.sqrt(this.areaM2 / Math.PI);
		this.probeM3 = bowl.sumpToProbeMl * 1e-6;
		this.carryoverM3 = this.probeM3 + bowl.probeToCarryoverMl * 1e-6;
		this.headspaceM3 = Math.min(HEADSPACE_M3, HEADSPACE_SHARE * this.capacityM3);
	}

	/** Works the volumes out anew; `draw` reckons with what it found. */
	measure(): void {
		const { m3PerKg } = this.fuel;
		this.mixedM3 = volumeM3(this.mixed, m3PerKg);
		this.liquidM3 = this.mixedM3 + volumeM3(this.sump, m3PerKg);
	}

	get sumpWaterM3(): number {
		return (this.sump[FREE] as number) * (this.fuel.m3PerKg[FREE] as number);
	}

	/**
	 * True while settled water stands at the probe.
	 * @param tiltTan tangent of the boat's roll: the water stays level while the bowl leans
	 */
	waterAtProbe(tiltTan: number): boolean {
		// Where a round bowl's edge leans down, the level at the probe's pins rises by a part of it.
		const waterM3 = (this.sump[FREE] as number) * (this.fuel.m3PerKg[FREE] as number);
		return waterM3 + this.leanM3 * Math.abs(tiltTan) >= this.probeM3;
	}

	/** Share of air in what the outlet draws. */
	airAtOutlet(pressurePa: number): number {
		return Math.min(1, this.gasJ / pressurePa / this.headspaceM3);
	}

	/** Air leaves, in J of p V; the last bubble goes whole, as traces of anything do. */
	giveAir(joule: number): void {
		const left = this.gasJ - joule;
		this.gasJ = left < BUBBLE_J ? 0 : left;
	}

	/** To be called when the fuel's properties are new. */
	refresh(): void {
		const { falls, fallDt, fuel } = this;
		falls[FREE] = -Math.expm1(-fallDt / FALLING_S);
		const perM = (SPIN * this.areaM2 * fallDt) / this.capacityM3;
		for (let i = COARSE; i < SPECIES; i += 1) {
			const share = Math.max(0, perM * (fuel.settlingMps[i] as number));
			// Second order of 1 - exp(-x): the shares are small.
			falls[i] = share * (1 - share / 2);
		}
	}

	/** Somebody pours water in up to the probe, as the wet proof test asks. */
	wet(): void {
		const lackM3 = this.probeM3 - this.sumpWaterM3;
		if (lackM3 <= 0) return;
		const kg = (1.1 * lackM3) / (this.fuel.m3PerKg[FREE] as number);
		this.sump[FREE] = (this.sump[FREE] as number) + kg;
	}

	settle(dtS: number): void {
		const { mixed, sump, falls } = this;
		if (dtS !== this.fallDt) {
			this.fallDt = dtS;
			this.refresh();
		}
		separate(mixed, falls, sump, sump);
	}

	/** Takes `wantedM3` off the top into `to`; water over the carry-over line goes first. */
	draw(wantedM3: number, to: Masses): void {
		const { mixed, sump } = this;
		const perKg = this.fuel.m3PerKg[FREE] as number;
		let left = wantedM3;
		const overM3 = perKg * ((mixed[FREE] as number) + (sump[FREE] as number)) - this.carryoverM3;
		if (overM3 > 0) left -= this.carryOver(Math.min(overM3, left), to);
		const still = mixed[FREE] as number;
		mixed[FREE] = 0;
		const bulk = this.mixedM3 - still * perKg;
		const share = bulk <= 0 ? 0 : left < bulk ? left / bulk : 1;
		moveShare(mixed, to, share);
		mixed[FREE] = still;
		this.mixedM3 -= bulk * share;
	}

	/** Free water that the outlet draws, m³: what is mixed first, then what has settled. */
	private carryOver(wantedM3: number, to: Masses): number {
		const perKg = this.fuel.m3PerKg[FREE] as number;
		const kg = wantedM3 / perKg;
		const ofMixed = moveKg(this.mixed, to, FREE, kg);
		this.mixedM3 -= ofMixed * perKg;
		return (ofMixed + moveKg(this.sump, to, FREE, kg - ofMixed)) * perKg;
	}
}

export class Element {
	readonly holds: Masses = noMasses();
	/** What an unusual growth or a collapse multiplies its resistance by. */
	plugging = 1;
	private readonly fuel: Fuel;
	private readonly heldShare = new Float64Array(SPECIES);
	/** Drop per flow at the fuel's present viscosity, Pa s/m³, when it was last measured. */
	paPerM3s = NOUGHT;
	private readonly cleanPaPerM3s: number;
	private readonly growthPaPerM3sKg: number;
	private readonly ratedPas: number;
	/** Viscosity over the rated one (Darcy: the drop goes in proportion to it). */
	private thicker = ONE;

	constructor(rig: Rig, fuel: Fuel) {
		this.fuel = fuel;
		const { element } = rig;
		DIRT_MICRON.forEach((micron, i) => {
			this.heldShare[DIRT + i] = dirtEfficiency(rig, micron);
		});
		this.heldShare[FINE] = element.waterEfficiency;
		this.heldShare[COARSE] = 1 - COARSE_PASSES * (1 - element.waterEfficiency);
		const { freeFlowM3s } = pumpCurve(rig);
		this.cleanPaPerM3s = (element.cleanKpa * 1e3) / freeFlowM3s;
		const growth = ((element.changeAtKpa - element.cleanKpa) * 1e3) / freeFlowM3s;
		this.growthPaPerM3sKg = growth / (element.dirtToChangeGrams / 1e3);
		this.ratedPas = ratedLiquid(rig).dynamicPas;
	}

	/** To be called when the fuel's properties are new. */
	refresh(): void {
		const { fuel } = this;
		this.thicker = fuel.dynamicPas / this.ratedPas;
		this.measure();
	}

	get dirtKg(): number {
		return dirtKg(this.holds);
	}

	/** Works the drop per flow out anew; to be called once a second and when anything is new. */
	measure(): void {
		const { holds } = this;
		const cake = this.cleanPaPerM3s + this.growthPaPerM3sKg * dirtKg(holds);
		const wax = 1 + (holds[FUEL] as number) * (1 / WAX_DOUBLES_KG);
		this.paPerM3s = cake * wax * this.plugging * this.thicker;
	}

	/** Holds its share of what goes through; water that it joins into drops falls to the sump. */
	filter(through: Masses, sump: Masses): void {
		const { holds, heldShare, fuel } = this;
		separate(through, heldShare, sump, holds);
		const below = fuel.diesel.cloudPointC - fuel.celsius;
		if (below > 0) {
			moveKg(through, holds, FUEL, WAX_HELD * WAX_PER_K * below * (through[FUEL] as number));
		}
	}

	/** Wax melts back into the bowl once it is warm enough. */
	melt(dtS: number, into: Masses): void {
		if (this.fuel.celsius <= this.fuel.diesel.cloudPointC) return;
		moveKg(this.holds, into, FUEL, (dtS / WAX_MELTS_S) * (this.holds[FUEL] as number));
	}
}
