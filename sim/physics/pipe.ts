// Pressure drop of liquid in a round pipe or hose: friction by regime, and local losses by K.
// Imports nothing. Hagen and Poiseuille below, Colebrook above, a bridge of our own between.
// Sources: Colebrook, J. Inst. Civ. Eng. 11 (1939) 133-156; White, Fluid Mechanics, chapter 6.

/** Highest Reynolds number taken as laminar. Books name 2000 to 2300; no sharp bound exists. */
export const LAMINAR_RE = 2040;

/** Lowest Reynolds number taken as turbulent: the upper end of the critical zone (White, ch. 6). */
export const TURBULENT_RE = 4000;

const LN_BRIDGE = Math.log(TURBULENT_RE / LAMINAR_RE);

/** A run of one bore. `lossK` is the sum of its local losses in heads of its own speed, v²/2g. */
export interface Pipe {
	readonly lengthM: number;
	readonly boreM: number;
	/** Height of the wall's roughness; 0 is smooth, which drawn hose and tube are (White, ch. 6). */
	readonly roughnessM: number;
	readonly lossK: number;
}

export interface Liquid {
	readonly densityKgM3: number;
	readonly dynamicPas: number;
}

export type Regime = "laminar" | "transition" | "turbulent";

/** Mean speed over the bore, m/s; keeps the flow's sign. */
export function speedMps(boreM: number, flowM3s: number): number {
	return (4 * flowM3s) / (Math.PI * boreM * boreM);
}

/** Re = v D / nu, without unit. */
export function reynolds(speedMps: number, boreM: number, kinematicM2s: number): number {
	return (speedMps * boreM) / kinematicM2s;
}

export function regime(re: number): Regime {
	if (re <= LAMINAR_RE) return "laminar";
	return re < TURBULENT_RE ? "transition" : "turbulent";
}

/**
 * Darcy friction factor of turbulent flow: the root of
 * 1/sqrt f = -2 log10(k/3.7 + 2.51/(Re sqrt f)), k being roughness over bore.
 *
 * Newton on x = 1/sqrt f from Haaland's explicit formula (J. Fluids Eng. 105 (1983) 89-90), which
 * is within 2 %. Each step squares the error, so three reach the last digits; the number is fixed
 * and the time with it. Meant for Re of 2000 to 1e8 and k of 0 to 0.05.
 */
export function colebrook(re: number, relativeRoughness: number): number {
	const rough = relativeRoughness / 3.7;
	const smooth = 2.51 / re;
	let x = -1.8 * Math.log10(rough ** 1.11 + 6.9 / re);
	for (let step = 0; step < 3; step++) {
		const inside = rough + smooth * x;
		const slope = 1 + ((2 / Math.LN10) * smooth) / inside;
		x -= (x + 2 * Math.log10(inside)) / slope;
	}
	return 1 / (x * x);
}

/**
 * Darcy friction factor at any Re > 0: 64/Re up to 2040, Colebrook from 4000 up.
 *
 * Between them ln f goes in a straight line over ln Re from 64/2040 to colebrook(4000). The bridge
 * is our own and no measurement: real flow there is unsteady. It is continuous, and as its upper
 * end lies above its lower (0.0399 against 0.0314 for a smooth wall, more for a rough one), f rises
 * with Re and the pressure drop, which goes with f Re², rises with flow without a break. Pump and
 * pipe therefore meet in one operating point; a jump would give none or two.
 */
export function frictionFactor(re: number, relativeRoughness: number): number {
	if (re <= LAMINAR_RE) return 64 / re;
	if (re >= TURBULENT_RE) return colebrook(re, relativeRoughness);
	const from = 64 / LAMINAR_RE;
	const to = colebrook(TURBULENT_RE, relativeRoughness);
	return from * (to / from) ** (Math.log(re / LAMINAR_RE) / LN_BRIDGE);
}

/** Drop per flow of laminar friction, Pa s/m³: 128 mu L/(pi D⁴) (Hagen and Poiseuille). */
export function laminarPaPerM3s(pipe: Pipe, liquid: Liquid): number {
	return (128 * liquid.dynamicPas * pipe.lengthM) / (Math.PI * pipe.boreM ** 4);
}

/**
 * Drop from friction and local losses, Pa: (f L/D + K) rho v²/2 after Darcy and Weisbach. Odd in
 * the flow, 0 at rest, strictly rising with it. Lift and change of speed are not in it.
 */
export function pressureDropPa(pipe: Pipe, liquid: Liquid, flowM3s: number): number {
	const speed = Math.abs(speedMps(pipe.boreM, flowM3s));
	const re = (liquid.densityKgM3 * speed * pipe.boreM) / liquid.dynamicPas;
	const local = pipe.lossK * dynamicPressurePa(liquid, speed);
	if (re <= LAMINAR_RE) {
		// Straight from Hagen and Poiseuille: 64/Re is no number at rest.
		return laminarPaPerM3s(pipe, liquid) * flowM3s + Math.sign(flowM3s) * local;
	}
	const f = frictionFactor(re, pipe.roughnessM / pipe.boreM);
	const friction = ((f * pipe.lengthM) / pipe.boreM) * dynamicPressurePa(liquid, speed);
	return Math.sign(flowM3s) * (friction + local);
}

/** Pressure that the liquid's speed stands for, Pa: rho v²/2. */
export function dynamicPressurePa(liquid: Liquid, speedMps: number): number {
	return (liquid.densityKgM3 * speedMps * speedMps) / 2;
}

/**
 * Flow that a drop drives, m³/s: the inverse of `pressureDropPa`, for a pipe with length. The
 * laminar flow without local losses is the most that a drop can drive, as every other law resists
 * more; the root lies between it and 0 and is halved in until the interval's ends are neighbours.
 */
export function flowAtDropM3s(pipe: Pipe, liquid: Liquid, dropPa: number): number {
	const wanted = Math.abs(dropPa);
	let high = wanted / laminarPaPerM3s(pipe, liquid);
	if (pressureDropPa(pipe, liquid, high) <= wanted) return Math.sign(dropPa) * high;
	let low = 0;
	for (let halving = 0; halving < 200; halving++) {
		const middle = (low + high) / 2;
		if (middle <= low || middle >= high) break;
		if (pressureDropPa(pipe, liquid, middle) < wanted) low = middle;
		else high = middle;
	}
	return Math.sign(dropPa) * high;
}
