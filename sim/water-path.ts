// The way of the fuel: tank, suction line, bowl, element, pump, return. Plain model: while the pump
// has liquid at its inlet it moves its free flow, whatever the vacuum; the element's restriction
// grows linearly with the dirt it holds. Volume is conserved store by store (see store.ts).

import type { Rig } from "../firmware/config/rig.ts";
import { move, parcel, Store, volume } from "./store.ts";

/** Free water in the bowl is visibly down in about 15 s (common practice, no source): 3 τ. */
const SETTLING_S = 5;
/** A free-water layer smaller than this no longer covers the pick-up: it draws fuel too, L. */
const LAYER_LITRES = 0.05;
/** What no tube reaches, L. */
const UNREACHABLE_LITRES = 0.5;
/** Density and dynamic viscosity of an EN 590 diesel near 15 °C: 835 kg/m³, about 3.9 mPa·s. */
const DENSITY = 835;
const VISCOSITY_PAS = 3.9e-3;
const GRAVITY = 9.80665;

export interface Tank extends Store {
	dirtGrams: number;
	readonly volumeLitres: number;
}

export interface PathTruth {
	litresThroughPump: number;
	litresReturned: number;
	litresSpilled: number;
	freeWaterPastBowlMl: number;
	dispersedWaterPastElementMl: number;
	dryPumpSeconds: number;
}

export class WaterPath {
	readonly tanks: ReadonlyMap<string, Tank>;
	readonly line = new Store();
	/** Liquid in the bowl but for the water that has settled. */
	readonly bowl: Store;
	readonly sump = new Store();
	/** Where the crew drains to, and the can they refill the bowl from. */
	readonly container = new Store();
	readonly can = new Store(parcel(20));
	/** What has run out of a tank that was full. */
	readonly spill = new Store();
	elementDirtGrams = 0;
	tubeTank: string;
	returnTank: string;
	tubeLifted = false;
	vacuumKpa = 0;
	readonly truth: PathTruth = {
		litresThroughPump: 0,
		litresReturned: 0,
		litresSpilled: 0,
		freeWaterPastBowlMl: 0,
		dispersedWaterPastElementMl: 0,
		dryPumpSeconds: 0,
	};

	private readonly rig: Rig;
	private readonly lineLitres: number;
	private readonly bowlLitres: number;
	private readonly carryoverLitres: number;

	constructor(rig: Rig, tanks: ReadonlyMap<string, Tank>, tube: string, returns: string) {
		this.rig = rig;
		this.tanks = tanks;
		this.tubeTank = tube;
		this.returnTank = returns;
		const bore = (mm: number) => (Math.PI / 4) * (mm / 100) ** 2;
		const { bowl, hose } = rig;
		this.lineLitres =
			(bore(rig.tube.boreMm) * rig.tube.lengthMm + bore(hose.boreMm) * hose.lengthMm) / 100;
		this.bowlLitres = bowl.volumeMl / 1000;
		this.carryoverLitres = (bowl.sumpToProbeMl + bowl.probeToCarryoverMl) / 1000;
		// Filled by hand before the first start, as the procedure asks.
		this.bowl = new Store();
		move(this.can, this.bowl, parcel(this.bowlLitres));
	}

	/** Every store there is, by name: their sum never changes. */
	get stores(): ReadonlyMap<string, Store> {
		const { line, bowl, sump, container, can, spill } = this;
		return new Map<string, Store>([
			...this.tanks,
			...Object.entries({ line, bowl, sump, container, can, spill }),
		]);
	}

	get waterAtProbe(): boolean {
		return this.sump.litres * 1000 >= this.rig.bowl.sumpToProbeMl;
	}

	step(dtS: number, running: boolean): void {
		this.settle(dtS);
		if (!running) {
			this.vacuumKpa = 0;
			return;
		}
		const want = (this.rig.pump.freeFlowLph / 3600) * dtS;
		this.draw(want);
		const pumped = this.deliver(want);
		if (pumped === 0) this.truth.dryPumpSeconds += dtS;
		this.vacuumKpa = this.suctionKpa(pumped / dtS);
	}

	/** The crew opens the drain: settled water and a little fuel go into the container. */
	drainBowl(): number {
		const settled = this.sump.sample(this.sump.litres);
		const waterMl = settled.free * 1000;
		move(this.sump, this.container, settled);
		move(this.bowl, this.container, this.bowl.sample(0.1));
		return waterMl;
	}

	/** The crew refills the bowl from the can. */
	fillBowl(): void {
		const room = Math.max(0, this.bowlLitres - this.bowl.litres - this.sump.litres);
		move(this.can, this.bowl, this.can.sample(room));
	}

	/** Free water that is still falling in the bowl joins the sump. */
	private settle(dtS: number): void {
		const falling = this.bowl.holds.free * (1 - Math.exp(-dtS / SETTLING_S));
		if (falling > 0) move(this.bowl, this.sump, parcel(0, falling));
	}

	/** Suction: liquid from the tank into the line, or what stands in the line ahead of air. */
	private draw(want: number): void {
		const tank = this.tanks.get(this.tubeTank);
		const reachable = tank === undefined ? 0 : tank.litres - UNREACHABLE_LITRES;
		if (tank === undefined || this.tubeLifted || reachable <= 0) {
			move(this.line, this.bowl, this.line.sample(want));
			return;
		}
		const litres = Math.min(want, reachable);
		const { free, fuel, dispersed } = tank.holds;
		const waterLitres = Math.min(free, (litres * free) / (free + LAYER_LITRES));
		const bulk = fuel + dispersed;
		const share = bulk <= 0 ? 0 : (litres - waterLitres) / bulk;
		move(tank, this.line, parcel(fuel * share, waterLitres, dispersed * share));
		const over = this.line.litres - this.lineLitres;
		if (over > 0) move(this.line, this.bowl, this.line.sample(over));
	}

	/** What the full bowl gives off goes through the element and the pump to the return. */
	private deliver(want: number): number {
		const over = Math.min(want, this.bowl.litres + this.sump.litres - this.bowlLitres);
		if (over <= 0) return 0;
		const { rig, bowl, sump, truth } = this;
		const excess = bowl.holds.free + sump.holds.free - this.carryoverLitres;
		// Above the carry-over line water goes with the fuel: what still falls first, then the sump's.
		const falling = Math.max(0, Math.min(over, excess, bowl.holds.free));
		const settled = Math.max(0, Math.min(over - falling, excess - falling, sump.holds.free));
		const { fuel, dispersed } = bowl.holds;
		const rest = over - falling - settled;
		const share = fuel + dispersed <= 0 ? 0 : Math.min(1, rest / (fuel + dispersed));
		const held = dispersed * share * rig.element.waterEfficiency;
		// Water that coalesces on the element falls into the sump.
		bowl.take(parcel(0, 0, held));
		sump.give(parcel(0, held));
		const ofBowl = parcel(fuel * share, falling, dispersed * share - held);
		const passed = { ...ofBowl, free: falling + settled };
		const tank = this.tanks.get(this.returnTank);
		const pumped = volume(passed);
		this.carryDirt(pumped);
		bowl.take(ofBowl);
		sump.take(parcel(0, settled));
		truth.litresThroughPump += pumped;
		truth.freeWaterPastBowlMl += passed.free * 1000;
		truth.dispersedWaterPastElementMl += passed.dispersed * 1000;
		if (tank !== undefined) {
			tank.give(passed);
			truth.litresReturned += pumped;
			this.overflow(tank);
		}
		return pumped;
	}

	/** A full tank runs over through its vent: what is above its volume is spilled. */
	private overflow(tank: Tank): void {
		const over = tank.litres - tank.volumeLitres;
		if (over <= 0) return;
		move(tank, this.spill, tank.sample(over));
		this.truth.litresSpilled += over;
	}

	private carryDirt(pumped: number): void {
		const from = this.tanks.get(this.tubeTank);
		const to = this.tanks.get(this.returnTank);
		if (from === undefined || to === undefined || from.litres <= 0) return;
		const grams = (from.dirtGrams * pumped) / from.litres;
		const held = grams * this.rig.element.dirtEfficiency;
		from.dirtGrams -= grams;
		to.dirtGrams += grams - held;
		this.elementDirtGrams += held;
	}

	/** Lift of what stands in the tube, laminar friction of tube and hose, and the element, kPa. */
	private suctionKpa(litresPerS: number): number {
		const { tube, hose, element, pump } = this.rig;
		const filled = Math.min(1, this.line.litres / this.lineLitres);
		const liftKpa = (DENSITY * GRAVITY * (tube.lengthMm / 1000) * filled) / 1000;
		if (litresPerS <= 0) return liftKpa;
		const flow = litresPerS / 1000;
		const laminar = (lengthMm: number, boreMm: number) =>
			(128 * VISCOSITY_PAS * (lengthMm / 1000) * flow) / (Math.PI * (boreMm / 1000) ** 4) / 1000;
		const load = this.elementDirtGrams / element.dirtToChangeGrams;
		const elementKpa = element.cleanKpa + (element.changeAtKpa - element.cleanKpa) * load;
		const ofFreeFlow = (litresPerS * 3600) / pump.freeFlowLph;
		const frictionKpa = laminar(tube.lengthMm, tube.boreMm) + laminar(hose.lengthMm, hose.boreMm);
		return liftKpa + frictionKpa + elementKpa * ofFreeFlow;
	}
}
