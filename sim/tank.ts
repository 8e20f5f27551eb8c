// A tank: bulk fuel with what is suspended in it, mixed; and what lies on the floor, free water and
// sludge. Levels come from the shape by a table, so that each step costs the same. What settles,
// what the return stirs up, what dissolves and how high the floor's load stands is reckoned once a
// second.

import type { Rig } from "../firmware/config/rig.ts";
import type { Fuel } from "./fuel.ts";
import { NOUGHT } from "./physics/fraction.ts";
import {
	depthM,
	dipAtVolumeM,
	floorAreaM2,
	type TankShape,
	volumeAtDipM3,
} from "./physics/tank-shape.ts";
import { floorFallM, tankShape, tankWidthM } from "./rig-parts.ts";
import type { Masses } from "./species.ts";
import * as species from "./species.ts";

const { FUEL, FREE, COARSE, FINE, DISSOLVED, DIRT, SPECIES, DIRT_SHARES } = species;
const { change, dirtKg, moveAll, moveDirt, noMasses, separate, volumeM3 } = species;

/** Points of the level table over the volume; between them a straight line. */
const LEVELS = 512;
/** Sludge is a tenth dirt by mass in its own volume, kg of dirt per m³ (invented). */
export const SLUDGE_KG_M3 = 150;
/** Share of the floor's sludge that the return lifts in an hour at free flow (invented). */
const STIRRED_PER_HOUR = 0.04;
/** Share of the free water that the return breaks into drops in an hour at free flow (invented). */
const BROKEN_PER_HOUR = 0.02;
/** Time in which fuel takes up or gives off dissolved water, s (invented). */
const DISSOLVING_S = 3_600;

/** What a tank holds when the simulation starts. */
export interface TankStart {
	readonly fuelLitres: number;
	readonly freeWaterLitres: number;
	/** Dispersed water by volume: seven tenths of it fine. */
	readonly dispersedWaterPpm: number;
	/** Dirt in suspension, and dirt that lies on the floor as sludge. */
	readonly dirtGrams: number;
	readonly sludgeGrams?: number | undefined;
}

export const EMPTY_TANK: TankStart = {
	fuelLitres: 0,
	freeWaterLitres: 0,
	dispersedWaterPpm: 0,
	dirtGrams: 0,
};

export class Tank {
	readonly bulk: Masses = noMasses();
	readonly floor: Masses = noMasses();
	readonly capacityM3: number;
	readonly floorAreaM2: number;
	readonly widthM: number;
	/** Its vent is shut: pumping changes the pressure over the fuel. */
	ventShut = false;
	/** Pressure over the fuel above the atmosphere, Pa. */
	gaugePa = NOUGHT;
	/** Volume of the bulk and of all, m³, and dip, m, when they were last measured. */
	bulkThen = NOUGHT;
	private volumeThen = NOUGHT;
	dipThen = NOUGHT;
	/** Of what lies on the floor: its volume, m³, and the depths of its water and sludge, m. */
	private floorThen = NOUGHT;
	waterThenM = NOUGHT;
	sludgeThenM = NOUGHT;
	/** Room under the brim, a lower bound: whoever pours in takes off, what left is added later. */
	roomM3 = NOUGHT;
	private readonly fuel: Fuel;
	private readonly levels = new Float64Array(LEVELS + 2);
	private readonly fallM: number;
	/** Volume of the wedge under a floor that falls; square of a layer's depth in it per volume. */
	private readonly wedgeM3: number;
	private readonly wedgeM2PerM3: number;
	private readonly levelsPerM3: number;
	private airAtShutM3 = NOUGHT;
	/** Share of each species that settles in a second. */
	private readonly falls = new Float64Array(SPECIES);

	constructor(tank: Rig["tanks"][number], start: TankStart, fuel: Fuel) {
		const shape = tankShape(tank);
		this.fuel = fuel;
		this.capacityM3 = volumeAtDipM3(shape, depthM(shape));
		this.floorAreaM2 = floorAreaM2(shape);
		this.widthM = tankWidthM(tank);
		this.fallM = floorFallM(tank);
		this.wedgeM3 = (this.fallM * this.floorAreaM2) / 2;
		this.wedgeM2PerM3 = (2 * this.fallM) / this.floorAreaM2;
		this.levelsPerM3 = LEVELS / this.capacityM3;
		this.tabulate(shape);
		this.fill(start);
	}

	private tabulate(shape: TankShape): void {
		for (let i = 0; i <= LEVELS; i += 1) {
			this.levels[i] = dipAtVolumeM(shape, (this.capacityM3 * i) / LEVELS);
		}
		this.levels[LEVELS + 1] = this.levels[LEVELS] as number;
	}

	private fill(start: TankStart): void {
		const { bulk, floor, fuel } = this;
		const litresToKg = (species: number) => 1e-3 / (fuel.m3PerKg[species] as number);
		const dispersed = (start.fuelLitres * start.dispersedWaterPpm) / 1e6;
		bulk[FUEL] = (start.fuelLitres - dispersed) * litresToKg(FUEL);
		bulk[FINE] = 0.7 * dispersed * litresToKg(FINE);
		bulk[COARSE] = 0.3 * dispersed * litresToKg(COARSE);
		// Fuel that stood over water is near saturation; the rest is not known.
		bulk[DISSOLVED] = 0.8 * fuel.solubility * (bulk[FUEL] as number);
		floor[FREE] = start.freeWaterLitres * litresToKg(FREE);
		DIRT_SHARES.forEach((share, i) => {
			bulk[DIRT + i] = (share * start.dirtGrams) / 1e3;
			floor[DIRT + i] = (share * (start.sludgeGrams ?? 0)) / 1e3;
		});
		this.measureFloor();
	}

	get bulkM3(): number {
		return volumeM3(this.bulk, this.fuel.m3PerKg);
	}

	get volumeM3(): number {
		return this.bulkM3 + volumeM3(this.floor, this.fuel.m3PerKg);
	}

	/** From the lowest point to the top, m. */
	get depthM(): number {
		return this.levels[LEVELS] as number;
	}

	/** Height of the surface above the lowest point, boat at rest, m. */
	get dipM(): number {
		return this.levelM(this.volumeM3);
	}

	/** Keeps dip and volumes as they are now, the floor's as it was at the last second. */
	measure(): void {
		this.bulkThen = this.bulkM3;
		this.volumeThen = this.bulkThen + this.floorThen;
		this.dipThen = this.levelM(this.volumeThen);
	}

	/** What is over the brim, m³; its room is then known anew. */
	get overM3(): number {
		this.roomM3 = this.capacityM3 - this.volumeM3;
		return -this.roomM3;
	}

	/** Depth of the free water where it is deepest, m. */
	get waterDepthM(): number {
		return this.layerM((this.floor[FREE] as number) * (this.fuel.m3PerKg[FREE] as number));
	}

	/** Keeps what lies on the floor as it is now, sludge under the water. */
	private measureFloor(): void {
		const kg = dirtKg(this.floor);
		this.floorThen = volumeM3(this.floor, this.fuel.m3PerKg);
		this.waterThenM = this.waterDepthM;
		this.sludgeThenM = kg === 0 ? 0 : this.layerM(kg / SLUDGE_KG_M3);
	}

	private levelM(volumeM3: number): number {
		const at = volumeM3 * this.levelsPerM3;
		const i = at < LEVELS ? at | 0 : LEVELS;
		const low = this.levels[i] as number;
		return low + (at - i) * ((this.levels[i + 1] as number) - low);
	}

	/** A layer gathers at the low end of a floor that falls: a wedge first, then a full layer. */
	private layerM(volumeM3: number): number {
		if (volumeM3 < this.wedgeM3) return Math.sqrt(volumeM3 * this.wedgeM2PerM3);
		if (this.fallM === 0) return this.levelM(volumeM3);
		return this.fallM + (volumeM3 - this.wedgeM3) / this.floorAreaM2;
	}

	/** What arrives joins the bulk, all of it; free water sinks to the floor at once. */
	receive(arrived: Masses): void {
		const { bulk, floor } = this;
		moveAll(arrived, bulk);
		floor[FREE] = (floor[FREE] as number) + (bulk[FREE] as number);
		bulk[FREE] = 0;
	}

	/** Pressure over the fuel: the air shut in obeys p V = const. */
	breathe(atmospherePa: number): void {
		if (!this.ventShut) {
			this.gaugePa = 0;
			this.airAtShutM3 = 0;
			return;
		}
		// A full tank still has its neck: a litre of air.
		const air = Math.max(1e-3, this.capacityM3 - this.volumeM3);
		if (this.airAtShutM3 === 0) this.airAtShutM3 = air;
		this.gaugePa = atmospherePa * (this.airAtShutM3 / air - 1);
	}

	/**
	 * A second of settling, stirring and dissolving.
	 * @param stirring the return's flow into this tank over free flow
	 * @param settles false in the ideal mixed tank
	 */
	pass(dtS: number, stirring: number, settles: boolean): void {
		const { bulk, floor, falls, fuel } = this;
		this.measureFloor();
		this.measure();
		this.roomM3 = this.capacityM3 - this.volumeThen;
		const height = this.bulkThen / this.floorAreaM2;
		if (settles && height > 1e-3) {
			for (let i = COARSE; i < SPECIES; i += 1) {
				const speed = fuel.settlingMps[i] as number;
				// Mixed as it settles: the share that falls out is one of what is left.
				falls[i] = speed > 0 ? -Math.expm1((-speed * dtS) / height) : 0;
			}
			separate(bulk, falls, floor, floor);
		}
		if (settles && stirring > 0) {
			moveDirt(floor, bulk, (STIRRED_PER_HOUR / 3600) * stirring * dtS);
			const broken = (BROKEN_PER_HOUR / 3600) * stirring * dtS * (floor[FREE] as number);
			change(floor, FREE, bulk, COARSE, broken);
		}
		this.dissolve(dtS);
	}

	/** Warm fuel takes up fine water; fuel that has cooled lets it fall out as haze. */
	private dissolve(dtS: number): void {
		const { bulk, fuel } = this;
		const gap = fuel.solubility * (bulk[FUEL] as number) - (bulk[DISSOLVED] as number);
		const share = dtS / DISSOLVING_S;
		if (gap < 0) change(bulk, DISSOLVED, bulk, FINE, -gap * share);
		else change(bulk, FINE, bulk, DISSOLVED, Math.min(gap, bulk[FINE] as number) * share);
	}
}
