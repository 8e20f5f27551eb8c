// Tube and hose from the tank's pick-up to the bowl: fuel, water slugs and air travel through as a
// row of parcels, so that each arrives when the volume ahead of it has gone. A ring of fixed size.

import { NOUGHT } from "./physics/fraction.ts";
import type { Masses } from "./species.ts";
import * as species from "./species.ts";

const { SPECIES, moveAll, moveShare, noMasses, volumeM3 } = species;

/** Places of the ring, a power of two, and what cuts a number of places down to the ring. */
const RING = 1_024;
const ROUND = RING - 1;
/** Parcels that the line holds at most when it is full. */
const PARCELS = 128;
const PARCEL_M3_MIN = 2e-6;
/** Rounding of sums, no gas: J. */
const GAS_J_MIN = 1e-9;

export class SuctionLine {
	readonly capacityM3: number;
	readonly tubeM3: number;
	readonly hoseM3: number;
	/** Everything in the line, kg: the sum that the parcels are held to. */
	liquidM3 = NOUGHT;
	/** Gas in the line as p V, J. */
	gasJ = NOUGHT;
	private readonly m3PerKg: Float64Array;
	private readonly parcelM3: number;
	private readonly masses: Float64Array[] = Array.from({ length: RING }, noMasses);
	private readonly liquid = new Float64Array(RING);
	private readonly gas = new Float64Array(RING);
	/** Pressure in the line, Pa; whoever moves anything states it first. */
	pressurePa: number;
	/** Pushed: the liquid, m³, and the gas, J. Popped: the volume wanted, and the gas that came. */
	movedM3 = NOUGHT;
	movedJ = NOUGHT;
	/** First parcel before the bowl, and their number. */
	private head = 0;
	private count = 0;

	/** Starts full of air at the atmosphere's pressure. */
	constructor(tubeM3: number, hoseM3: number, m3PerKg: Float64Array, atmospherePa: number) {
		this.tubeM3 = tubeM3;
		this.hoseM3 = hoseM3;
		this.capacityM3 = tubeM3 + hoseM3;
		this.m3PerKg = m3PerKg;
		this.parcelM3 = Math.max(PARCEL_M3_MIN, this.capacityM3 / PARCELS);
		this.pressurePa = atmospherePa;
		this.movedJ = atmospherePa * this.capacityM3;
		this.open(0);
		this.grow();
	}

	/** Of liquid and gas at the line's pressure. */
	volumeM3(): number {
		return this.liquidM3 + this.gasJ / this.pressurePa;
	}

	/** What is in the line, kg by species. */
	get holds(): Masses {
		const sum = noMasses();
		for (let n = 0; n < this.count; n += 1) {
			const parcel = this.at(n);
			for (let i = 0; i < SPECIES; i += 1) sum[i] = (sum[i] as number) + (parcel[i] as number);
		}
		return sum;
	}

	private at(n: number): Masses {
		return this.masses[(this.head + n) & ROUND] as Masses;
	}

	/** Volumes anew when densities have changed. */
	refresh(): void {
		this.liquidM3 = 0;
		for (let n = 0; n < this.count; n += 1) {
			const slot = (this.head + n) & ROUND;
			const m3 = volumeM3(this.masses[slot] as Masses, this.m3PerKg);
			this.liquid[slot] = m3;
			this.liquidM3 += m3;
		}
	}

	/** The parcel at the tank's end, to draw into; `grow` then says what came. */
	openTail(): Masses {
		let slot = (this.head + this.count - 1) & ROUND;
		if (this.count === 0 || this.isWhole(slot)) {
			slot = (slot + 1) & ROUND;
			this.open(slot);
		}
		return this.masses[slot] as Masses;
	}

	/** `movedM3` of liquid has been drawn into the tail, and gas of `movedJ` has come with it. */
	grow(): void {
		this.add((this.head + this.count - 1) & ROUND);
	}

	/** Back from the bowl: takes all of `from`, leaving it empty. */
	pushHead(from: Masses): void {
		if (this.count === 0 || this.isWhole(this.head)) {
			this.head = (this.head - 1) & ROUND;
			this.open(this.head);
		}
		moveAll(from, this.masses[this.head] as Masses);
		this.add(this.head);
	}

	private isWhole(slot: number): boolean {
		if (this.count >= RING) return false;
		return (this.liquid[slot] as number) + (this.gas[slot] as number) / 1e5 >= this.parcelM3;
	}

	private open(slot: number): void {
		this.liquid[slot] = 0;
		this.gas[slot] = 0;
		this.count += 1;
	}

	private add(slot: number): void {
		const { movedM3, movedJ } = this;
		this.liquid[slot] = (this.liquid[slot] as number) + movedM3;
		this.gas[slot] = (this.gas[slot] as number) + movedJ;
		this.liquidM3 += movedM3;
		this.gasJ += movedJ;
	}

	/** Takes `movedM3` off the bowl's end into `to`; `movedJ` is the gas that came with it. */
	popHead(to: Masses): void {
		this.movedJ = 0;
		while (this.movedM3 > 0 && this.count > 0) {
			const slot = this.head;
			if (this.take(slot, to)) this.head = (slot + 1) & ROUND;
		}
	}

	/** Takes `movedM3` off the tank's end into `to`; its gas is lost. */
	popTail(to: Masses): void {
		while (this.movedM3 > 0 && this.count > 0) this.take((this.head + this.count - 1) & ROUND, to);
	}

	/** Takes up to `movedM3` out of a parcel; true where that was all of it. */
	private take(slot: number, to: Masses): boolean {
		const wanted = this.movedM3;
		const liquid = this.liquid[slot] as number;
		const gas = this.gas[slot] as number;
		const all = liquid + gas / this.pressurePa;
		const emptied = all <= wanted;
		const share = emptied ? 1 : wanted / all;
		moveShare(this.masses[slot] as Masses, to, share);
		this.liquid[slot] = liquid - liquid * share;
		this.liquidM3 -= liquid * share;
		if (this.gasJ > 0) this.takeGas(slot, gas * share);
		this.movedM3 = emptied ? wanted - all : 0;
		if (!emptied) return false;
		this.count -= 1;
		if (this.count === 0) this.liquidM3 = 0;
		return true;
	}

	private takeGas(slot: number, joule: number): void {
		this.movedJ += joule;
		this.gas[slot] = (this.gas[slot] as number) - joule;
		const left = this.gasJ - joule;
		this.gasJ = left < GAS_J_MIN ? 0 : left;
	}

	/** Liquid in the tube alone, m³: its column is what the vacuum carries. */
	liquidInTubeM3(): number {
		const { tubeM3, pressurePa } = this;
		let room = tubeM3;
		let sum = 0;
		for (let n = this.count - 1; n >= 0 && room > 0; n -= 1) {
			const slot = (this.head + n) & ROUND;
			const liquid = this.liquid[slot] as number;
			const all = liquid + (this.gas[slot] as number) / pressurePa;
			if (all > room) return sum + (liquid * room) / all;
			sum += liquid;
			room -= all;
		}
		return sum;
	}
}
