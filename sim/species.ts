// What is in the fuel, as masses in kg: fuel itself, water in four states, dirt in four sizes.
// Every store of the rig is one array of them, integrated by itself from what passes; none is ever
// worked out as what is left over, so that the stores' sum proves the model. What runs in every
// step is written out species by species: twice as fast as a loop over nine. Imports nothing.

/** Place of each species in an array of masses. */
export const FUEL = 0;
/** Free water: layers, slugs and drops of millimetres. */
export const FREE = 1;
/** Dispersed water in drops of about 0.12 mm, as a stirred tank holds for minutes. */
export const COARSE = 2;
/** Dispersed water in drops of about 12 µm: haze, which stays for hours. */
export const FINE = 3;
/** Water dissolved in the fuel. */
export const DISSOLVED = 4;
/** First of the dirt's sizes; the others follow. */
export const DIRT = 5;

/** Diameters that stand for the dispersed water's two states and the dirt's four sizes, µm. */
export const COARSE_MICRON = 120;
export const FINE_MICRON = 12;
export const DIRT_MICRON: readonly number[] = [4, 10, 20, 45];
/** Share of the mass in each size of a dirt that nobody has counted (invented). */
export const DIRT_SHARES: readonly number[] = [0.2, 0.35, 0.3, 0.15];

export const SPECIES = DIRT + DIRT_MICRON.length;

/** Mean of grit, rust and growth, kg/m³ (invented; growth floats lighter, rust sinks faster). */
export const DIRT_DENSITY_KG_M3 = 1_500;
/** Fresh water near 15 °C; sea water is 2.5 % heavier. */
export const WATER_DENSITY_KG_M3 = 999;

/** Less than this of anything is a trace: a molecule or so, kg. */
const TRACE_KG = 1e-18;

/** Masses of the species, kg. */
export type Masses = Float64Array;

export const noMasses = (): Masses => new Float64Array(SPECIES);

/** Takes `share`, 0 to 1, of every species out of one store into another. */
export function moveShare(from: Masses, to: Masses, share: number): void {
	moveOne(from, to, FUEL, share);
	moveOne(from, to, FREE, share);
	moveOne(from, to, COARSE, share);
	moveOne(from, to, FINE, share);
	moveOne(from, to, DISSOLVED, share);
	moveOne(from, to, DIRT, share);
	moveOne(from, to, DIRT + 1, share);
	moveOne(from, to, DIRT + 2, share);
	moveOne(from, to, DIRT + 3, share);
}

/** Takes everything over. */
export function moveAll(from: Masses, to: Masses): void {
	moveOne(from, to, FUEL, 1);
	moveOne(from, to, FREE, 1);
	moveOne(from, to, COARSE, 1);
	moveOne(from, to, FINE, 1);
	moveOne(from, to, DISSOLVED, 1);
	moveOne(from, to, DIRT, 1);
	moveOne(from, to, DIRT + 1, 1);
	moveOne(from, to, DIRT + 2, 1);
	moveOne(from, to, DIRT + 3, 1);
}

function moveOne(from: Masses, to: Masses, species: number, share: number): void {
	const held = from[species] as number;
	const kg = held * share;
	from[species] = held - kg;
	to[species] = (to[species] as number) + kg;
}

/** Takes `kg` of one species over; never more than there is. Returns what went, kg. */
export function moveKg(from: Masses, to: Masses, species: number, kg: number): number {
	return change(from, species, to, species, kg);
}

/** As `moveKg`, but what arrives is another state of the same stuff: water of water, no more. */
export function change(
	from: Masses,
	species: number,
	to: Masses,
	becomes: number,
	kg: number,
): number {
	const held = from[species] as number;
	// The last trace goes whole: what halves for ever ends in numbers that arithmetic is slow with.
	const moved = held - kg < TRACE_KG ? held : Math.max(0, kg);
	from[species] = held - moved;
	to[becomes] = (to[becomes] as number) + moved;
	return moved;
}

export function volumeM3(masses: Masses, m3PerKg: Float64Array): number {
	return (
		(masses[FUEL] as number) * (m3PerKg[FUEL] as number) +
		(masses[FREE] as number) * (m3PerKg[FREE] as number) +
		(masses[COARSE] as number) * (m3PerKg[COARSE] as number) +
		(masses[FINE] as number) * (m3PerKg[FINE] as number) +
		(masses[DISSOLVED] as number) * (m3PerKg[DISSOLVED] as number) +
		(masses[DIRT] as number) * (m3PerKg[DIRT] as number) +
		(masses[DIRT + 1] as number) * (m3PerKg[DIRT + 1] as number) +
		(masses[DIRT + 2] as number) * (m3PerKg[DIRT + 2] as number) +
		(masses[DIRT + 3] as number) * (m3PerKg[DIRT + 3] as number)
	);
}

export const waterKg = (masses: Masses): number =>
	(masses[FREE] ?? 0) + (masses[COARSE] ?? 0) + (masses[FINE] ?? 0) + (masses[DISSOLVED] ?? 0);

export function dirtKg(masses: Masses): number {
	let sum = 0;
	for (let i = DIRT; i < SPECIES; i += 1) sum += masses[i] ?? 0;
	return sum;
}
