// Tube and hose from the tank's pick-up to the bowl: fuel, water slugs and air travel through as a
// row of parcels, so that each arrives when the volume ahead of it has gone. A ring of fixed size.

import { type Masses, moveAll, moveShare, noMasses, SPECIES, volumeM3 } from "./species.ts";

const RING = 1_024;
/** Parcels that the line holds at most when it is full. */
const PARCELS = 128;
const PARCEL_M3_MIN = 2e-6;
/** Rounding of sums, no gas: J. */
const GAS_J_MIN = 1e-9;

export class SuctionLine {
	readonly capacityM3: number;
	readonly tubeM3: number;
	/** Everything in the line, kg: the sum that the parcels are held to. */
	liquidM3 = 0;
	/** Gas in the line as p V, J. */
	gasJ = 0;
	private readonly m3PerKg: Float64Array;
	private readonly parcelM3: number;
	private readonly masses: Float64Array[] = Array.from({ length: RING }, noMasses);
	private readonly liquid = new Float64Array(RING);
	private readonly gas = new Float64Array(RING);
	/** First parcel before the bowl, and their number. */
	private head = 0;
	private count = 0;

	/** Starts full of air at the atmosphere's pressure. */
	constructor(tubeM3: number, hoseM3: number, m3PerKg: Float64Array, atmospherePa: number) {
		this.tubeM3 = tubeM3;
		this.capacityM3 = tubeM3 + hoseM3;
		this.m3PerKg = m3PerKg;
		this.parcelM3 = Math.max(PARCEL_M3_MIN, this.capacityM3 / PARCELS);
		this.pushTail(noMasses(), 0, atmospherePa * this.capacityM3);
	}

	volumeM3(pressurePa: number): number {
		return this.liquidM3 + this.gasJ / pressurePa;
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
		return this.masses[(this.head + n) % RING] as Masses;
	}

	/** Volumes anew when densities have changed. */
	refresh(): void {
		this.liquidM3 = 0;
		for (let n = 0; n < this.count; n += 1) {
			const slot = (this.head + n) % RING;
			const m3 = volumeM3(this.masses[slot] as Masses, this.m3PerKg);
			this.liquid[slot] = m3;
			this.liquidM3 += m3;
		}
	}

	/** From the tank: takes all of `from`, leaving it empty. */
	pushTail(from: Masses, liquidM3: number, gasJ: number): void {
		let slot = (this.head + this.count - 1 + RING) % RING;
		if (this.count === 0 || this.isWhole(slot)) {
			slot = (slot + 1) % RING;
			this.open(slot);
		}
		this.add(slot, from, liquidM3, gasJ);
	}

	/** Back from the bowl. */
	pushHead(from: Masses, liquidM3: number, gasJ: number): void {
		if (this.count === 0 || this.isWhole(this.head)) {
			this.head = (this.head - 1 + RING) % RING;
			this.open(this.head);
		}
		this.add(this.head, from, liquidM3, gasJ);
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

	private add(slot: number, from: Masses, liquidM3: number, gasJ: number): void {
		moveAll(from, this.masses[slot] as Masses);
		this.liquid[slot] = (this.liquid[slot] as number) + liquidM3;
		this.gas[slot] = (this.gas[slot] as number) + gasJ;
		this.liquidM3 += liquidM3;
		this.gasJ += gasJ;
	}

	/** Takes a volume off the bowl's end into `to`; returns the gas that came with it, J. */
	popHead(volume: number, pressurePa: number, to: Masses): number {
		let gasJ = 0;
		let left = volume;
		while (left > 0 && this.count > 0) {
			const slot = this.head;
			const taken = this.take(slot, left, pressurePa, to);
			gasJ += this.movedJ;
			left -= taken;
			if (this.emptied) this.head = (this.head + 1) % RING;
		}
		return gasJ;
	}

	/** Takes a volume off the tank's end into `to`; its gas is lost. */
	popTail(volume: number, pressurePa: number, to: Masses): void {
		let left = volume;
		while (left > 0 && this.count > 0) {
			left -= this.take((this.head + this.count - 1) % RING, left, pressurePa, to);
		}
	}

	private movedJ = 0;
	private emptied = false;

	private take(slot: number, volume: number, pressurePa: number, to: Masses): number {
		const liquid = this.liquid[slot] as number;
		const gas = this.gas[slot] as number;
		const all = liquid + gas / pressurePa;
		this.emptied = all <= volume;
		const share = this.emptied ? 1 : volume / all;
		if (this.emptied) moveAll(this.masses[slot] as Masses, to);
		else moveShare(this.masses[slot] as Masses, to, share);
		this.movedJ = gas * share;
		this.liquid[slot] = liquid - liquid * share;
		this.gas[slot] = gas - this.movedJ;
		this.liquidM3 -= liquid * share;
		const left = this.gasJ - this.movedJ;
		this.gasJ = left < GAS_J_MIN ? 0 : left;
		if (this.emptied) {
			this.count -= 1;
			if (this.count === 0) this.liquidM3 = 0;
			return all;
		}
		return volume;
	}

	/** Liquid in the tube alone, m³: its column is what the vacuum carries. */
	liquidInTubeM3(pressurePa: number): number {
		if (this.gasJ === 0) return Math.min(this.tubeM3, this.liquidM3);
		let room = this.tubeM3;
		let sum = 0;
		for (let n = this.count - 1; n >= 0 && room > 0; n -= 1) {
			const slot = (this.head + n) % RING;
			const liquid = this.liquid[slot] as number;
			const all = liquid + (this.gas[slot] as number) / pressurePa;
			if (all > room) return sum + (liquid * room) / all;
			sum += liquid;
			room -= all;
		}
		return sum;
	}
}
