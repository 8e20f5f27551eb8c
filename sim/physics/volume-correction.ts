// Volume and density of refined products by temperature. Imports nothing.
// Table 54B after ASTM D1250-80 / API MPMS 11.1 (1980) / ISO 91-1, and API MPMS 11.1-2004 (ASTM
// D1250-04), both unrounded. Constants as public repositories carry them, in agreement; the row of
// the fuels between gasoline and jet (770 to 787.5 kg/m³) is from memory in both.

const BASE_C = 15;

/** Thermal expansion at 15 °C, 1/K, of a product of that density at 15 °C, 653 to 1075 kg/m³. */
export function expansion54BPerK(density15KgM3: number): number {
	const rho = density15KgM3;
	if (rho >= 838.5) return (186.9696 + 0.4862 * rho) / (rho * rho);
	if (rho >= 787.5) return 594.5418 / (rho * rho);
	if (rho > 770) return -0.00336312 + 2680.3206 / (rho * rho);
	return (346.4228 + 0.4388 * rho) / (rho * rho);
}

/**
 * Volume at 15 °C over volume at `celsius`: exp(-a dT (1 + 0.8 a dT)). The table covers -18 to 90
 * °C; the formula goes on smoothly beyond.
 */
export function volumeCorrection54B(density15KgM3: number, celsius: number): number {
	const strain = expansion54BPerK(density15KgM3) * (celsius - BASE_C);
	return Math.exp(-strain * (1 + 0.8 * strain));
}

/** Density at a temperature, kg/m³, from that at 15 °C. */
export function densityKgM3(density15KgM3: number, celsius: number): number {
	return density15KgM3 * volumeCorrection54B(density15KgM3, celsius);
}

/** Groups of the 2004 method: lowest density at 60 °F, then K0, K1, K2. Densest first. */
const GROUPS = [
	{ name: "fuel oil", fromKgM3: 838.3127, k0: 103.872, k1: 0.2701, k2: 0 },
	{ name: "jet fuel", fromKgM3: 787.5195, k0: 330.301, k1: 0, k2: 0 },
	{ name: "between", fromKgM3: 770.352, k0: 1489.067, k1: 0, k2: -0.0018684 },
	{ name: "gasoline", fromKgM3: 0, k0: 192.4571, k1: 0.2438, k2: 0 },
] as const;

/** From ITS-90 to IPTS-68, powers of t/630 from the first up. */
const SCALE_SHIFT = [
	-0.148759, -0.267408, 1.08076, 1.269056, -4.089591, -1.871251, 7.438081, -3.536296,
] as const;

/** 60 °F as IPTS-68 has it, and its difference from 60, °F. */
const BASE_F68 = 60.0068749;
const SHIFT_60_F = 0.01374979547;

function groupOf(density60FKgM3: number): (typeof GROUPS)[number] {
	return GROUPS.find((group) => density60FKgM3 >= group.fromKgM3) ?? GROUPS[3];
}

const fahrenheit68 = (fahrenheit: number): number => {
	const celsius = (fahrenheit - 32) / 1.8;
	const scaled = celsius / 630;
	const shift = SCALE_SHIFT.reduceRight((sum, factor) => (sum + factor) * scaled, 0);
	return 1.8 * (celsius - shift) + 32;
};

/** Thermal expansion at 60 °F, 1/°F: K0/rho² + K1/rho + K2. */
export function expansion2004PerF(density60FKgM3: number): number {
	const { k0, k1, k2 } = groupOf(density60FKgM3);
	return (k0 / density60FKgM3 + k1) / density60FKgM3 + k2;
}

/**
 * Volume at 60 °F over volume at `fahrenheit`, API MPMS 11.1-2004, section 11.1.6.1, at no gauge
 * pressure. For 610.6 to 1163.5 kg/m³ at 60 °F and -58 to 302 °F.
 */
export function correctionTo60F(density60FKgM3: number, fahrenheit: number): number {
	const rho = density60FKgM3;
	const { k0, k1, k2 } = groupOf(rho);
	// The base moves from 60 °F of today's scale to 60 °F of the scale that the constants are from.
	const a = (SHIFT_60_F / 2) * expansion2004PerF(rho);
	const b = (2 * k0 + k1 * rho) / (k0 + (k1 + k2 * rho) * rho);
	const moved = rho * (1 + Math.expm1(a * (1 + 0.8 * a)) / (1 + a * (1 + 1.6 * a) * b));
	const expansion = (k0 / moved + k1) / moved + k2;
	const rise = fahrenheit68(fahrenheit) - BASE_F68;
	return Math.exp(-expansion * rise * (1 + 0.8 * expansion * (rise + SHIFT_60_F)));
}

const toFahrenheit = (celsius: number): number => 1.8 * celsius + 32;

/** Density at 60 °F from that at 15 °C, kg/m³: rho60 CTL(59 °F) = rho15, by repetition. */
export function density60FKgM3(density15KgM3: number): number {
	let density = density15KgM3;
	for (let turn = 0; turn < 50; turn++) {
		const next = density15KgM3 / correctionTo60F(density, toFahrenheit(BASE_C));
		if (next === density) break;
		density = next;
	}
	return density;
}

/** Volume at 15 °C over volume at `celsius` by the 2004 method. */
export function volumeCorrection2004(density15KgM3: number, celsius: number): number {
	const density = density60FKgM3(density15KgM3);
	const base = correctionTo60F(density, toFahrenheit(BASE_C));
	return correctionTo60F(density, toFahrenheit(celsius)) / base;
}
