// What is in the fuel, as masses in kg: fuel itself, water in four states, dirt in four sizes.
// Every store of the rig is one array of them, integrated by itself from what passes; none is ever
// worked out as what is left over, so that the stores' sum proves the model. Imports nothing.
//
// What runs in every step is written out place by place, with the places' numbers: twice as fast as
// a loop over nine. And who uses these names in every step makes them constants of its own, as in
// `const { FREE, moveShare } = species`: V8 puts a module's own constant into the code that it
// makes, but fetches and checks one that is imported or exported each time.

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
	let held = from[0] as number;
	let kg = held * share;
	from[0] = held - kg;
	to[0] = (to[0] as number) + kg;
	held = from[1] as number;
	kg = held * share;
	from[1] = held - kg;
	to[1] = (to[1] as number) + kg;
	held = from[2] as number;
	kg = held * share;
	from[2] = held - kg;
	to[2] = (to[2] as number) + kg;
	held = from[3] as number;
	kg = held * share;
	from[3] = held - kg;
	to[3] = (to[3] as number) + kg;
	held = from[4] as number;
	kg = held * share;
	from[4] = held - kg;
	to[4] = (to[4] as number) + kg;
	held = from[5] as number;
	kg = held * share;
	from[5] = held - kg;
	to[5] = (to[5] as number) + kg;
	held = from[6] as number;
	kg = held * share;
	from[6] = held - kg;
	to[6] = (to[6] as number) + kg;
	held = from[7] as number;
	kg = held * share;
	from[7] = held - kg;
	to[7] = (to[7] as number) + kg;
	held = from[8] as number;
	kg = held * share;
	from[8] = held - kg;
	to[8] = (to[8] as number) + kg;
}

/** Takes everything over. */
export function moveAll(from: Masses, to: Masses): void {
	to[0] = (to[0] as number) + (from[0] as number);
	to[1] = (to[1] as number) + (from[1] as number);
	to[2] = (to[2] as number) + (from[2] as number);
	to[3] = (to[3] as number) + (from[3] as number);
	to[4] = (to[4] as number) + (from[4] as number);
	to[5] = (to[5] as number) + (from[5] as number);
	to[6] = (to[6] as number) + (from[6] as number);
	to[7] = (to[7] as number) + (from[7] as number);
	to[8] = (to[8] as number) + (from[8] as number);
	from[0] = 0;
	from[1] = 0;
	from[2] = 0;
	from[3] = 0;
	from[4] = 0;
	from[5] = 0;
	from[6] = 0;
	from[7] = 0;
	from[8] = 0;
}

/**
 * Takes of everything that is suspended its own share, 0 to 1: water arrives as free water in
 * `water`, dirt as it is in `dirt`. The last trace goes whole, as in `change`.
 */
export function separate(from: Masses, shares: Float64Array, water: Masses, dirt: Masses): void {
	let held = from[1] as number;
	let left = held - held * (shares[1] as number);
	if (left < TRACE_KG) left = 0;
	from[1] = left;
	let waterKg = held - left;
	held = from[2] as number;
	left = held - held * (shares[2] as number);
	if (left < TRACE_KG) left = 0;
	from[2] = left;
	waterKg += held - left;
	held = from[3] as number;
	left = held - held * (shares[3] as number);
	if (left < TRACE_KG) left = 0;
	from[3] = left;
	water[1] = (water[1] as number) + waterKg + (held - left);
	held = from[5] as number;
	left = held - held * (shares[5] as number);
	if (left < TRACE_KG) left = 0;
	from[5] = left;
	dirt[5] = (dirt[5] as number) + (held - left);
	held = from[6] as number;
	left = held - held * (shares[6] as number);
	if (left < TRACE_KG) left = 0;
	from[6] = left;
	dirt[6] = (dirt[6] as number) + (held - left);
	held = from[7] as number;
	left = held - held * (shares[7] as number);
	if (left < TRACE_KG) left = 0;
	from[7] = left;
	dirt[7] = (dirt[7] as number) + (held - left);
	held = from[8] as number;
	left = held - held * (shares[8] as number);
	if (left < TRACE_KG) left = 0;
	from[8] = left;
	dirt[8] = (dirt[8] as number) + (held - left);
}

/** Takes `share`, 0 to 1, of the dirt in every size. */
export function moveDirt(from: Masses, to: Masses, share: number): void {
	let held = from[5] as number;
	let left = held - held * share;
	if (left < TRACE_KG) left = 0;
	from[5] = left;
	to[5] = (to[5] as number) + (held - left);
	held = from[6] as number;
	left = held - held * share;
	if (left < TRACE_KG) left = 0;
	from[6] = left;
	to[6] = (to[6] as number) + (held - left);
	held = from[7] as number;
	left = held - held * share;
	if (left < TRACE_KG) left = 0;
	from[7] = left;
	to[7] = (to[7] as number) + (held - left);
	held = from[8] as number;
	left = held - held * share;
	if (left < TRACE_KG) left = 0;
	from[8] = left;
	to[8] = (to[8] as number) + (held - left);
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

/** Volume of a store, m³: water in any state has one volume per kg, and dirt of any size. */
export function volumeM3(masses: Masses, m3PerKg: Float64Array): number {
	const water =
		(masses[1] as number) + (masses[2] as number) + ((masses[3] as number) + (masses[4] as number));
	const dirt =
		(masses[5] as number) + (masses[6] as number) + ((masses[7] as number) + (masses[8] as number));
	return (
		(masses[0] as number) * (m3PerKg[0] as number) +
		(water * (m3PerKg[1] as number) + dirt * (m3PerKg[5] as number))
	);
}

export const waterKg = (masses: Masses): number =>
	(masses[FREE] ?? 0) + (masses[COARSE] ?? 0) + (masses[FINE] ?? 0) + (masses[DISSOLVED] ?? 0);

export const dirtKg = (masses: Masses): number =>
	(masses[5] as number) + (masses[6] as number) + (masses[7] as number) + (masses[8] as number);
