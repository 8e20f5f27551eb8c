// Tanks by their shape: volume at a dip, dip at a volume, surface and floor. Imports nothing.
// Plane geometry; the horizontal cylinder is a segment of a circle times its length, and its two
// ends are halves of an ellipsoid. A dip is measured up from the lowest point.

export interface Rectangular {
	readonly kind: "rectangular";
	readonly lengthM: number;
	readonly widthM: number;
	readonly depthM: number;
}

/** V along the keel, then straight walls. Without `vDepthM` the V goes up to the top. */
export interface Wedge {
	readonly kind: "wedge";
	readonly lengthM: number;
	readonly topWidthM: number;
	readonly depthM: number;
	readonly vDepthM?: number;
}

/** Lying cylinder; `headDepthM` is how far each domed end stands out, 0 or none for flat ends. */
export interface HorizontalCylinder {
	readonly kind: "horizontal-cylinder";
	readonly lengthM: number;
	readonly diameterM: number;
	readonly headDepthM?: number;
}

/** Standing cylinder; a cone may stand out below and above its straight part. */
export interface VerticalCylinder {
	readonly kind: "vertical-cylinder";
	readonly diameterM: number;
	readonly heightM: number;
	readonly bottomConeM?: number;
	readonly topConeM?: number;
}

/** Calibration of a real tank. Both rise, volume from 0 at dip 0; at least two entries. */
export interface DipTable {
	readonly kind: "dip-table";
	readonly dipM: readonly number[];
	readonly volumeM3: readonly number[];
}

export type TankShape = Rectangular | Wedge | HorizontalCylinder | VerticalCylinder | DipTable;

export function depthM(shape: TankShape): number {
	switch (shape.kind) {
		case "horizontal-cylinder":
			return shape.diameterM;
		case "vertical-cylinder":
			return (shape.bottomConeM ?? 0) + shape.heightM + (shape.topConeM ?? 0);
		case "dip-table":
			return shape.dipM.at(-1) ?? 0;
		default:
			return shape.depthM;
	}
}

/** Volume below a dip, m³; a dip outside the tank counts as empty or full. */
export function volumeAtDipM3(shape: TankShape, dipM: number): number {
	const dip = Math.min(Math.max(dipM, 0), depthM(shape));
	switch (shape.kind) {
		case "rectangular":
			return shape.lengthM * shape.widthM * dip;
		case "wedge": {
			const v = shape.vDepthM ?? shape.depthM;
			const area = shape.lengthM * shape.topWidthM;
			return dip <= v ? (area * dip * dip) / (2 * v) : area * (dip - v / 2);
		}
		case "horizontal-cylinder":
			return shape.lengthM * segmentM2(shape.diameterM, dip) + headsM3(shape, dip);
		case "vertical-cylinder":
			return standingM3(shape, dip);
		case "dip-table":
			return interpolated(shape.dipM, shape.volumeM3, dip);
	}
}

/** Area of a circle below a chord, m²: R² (a - sin a cos a), a being half the chord's angle. */
function segmentM2(diameterM: number, dipM: number): number {
	const radius = diameterM / 2;
	// By the half angle's sine: an arc cosine near 1 would lose half the digits of a small dip.
	const angle = 2 * Math.asin(Math.sqrt(Math.min(1, dipM / diameterM)));
	return radius * radius * (angle - Math.sin(angle) * Math.cos(angle));
}

/** Both ends together: the cap of a sphere, stretched along the axis by depth over radius. */
function headsM3({ diameterM, headDepthM = 0 }: HorizontalCylinder, dipM: number): number {
	const radius = diameterM / 2;
	return ((headDepthM / radius) * Math.PI * dipM * dipM * (3 * radius - dipM)) / 3;
}

function standingM3(shape: VerticalCylinder, dipM: number): number {
	const { diameterM, heightM, bottomConeM = 0, topConeM = 0 } = shape;
	const area = (Math.PI * diameterM * diameterM) / 4;
	if (dipM < bottomConeM) return ((area * dipM) / 3) * (dipM / bottomConeM) ** 2;
	const straight = Math.min(dipM - bottomConeM, heightM);
	const above = Math.max(0, dipM - bottomConeM - heightM);
	const cone = topConeM > 0 ? (topConeM / 3) * (1 - (1 - above / topConeM) ** 3) : 0;
	return area * (bottomConeM / 3 + straight + cone);
}

/** Straight lines between the entries, ends held. A finer curve would invent what nobody gauged. */
function interpolated(from: readonly number[], to: readonly number[], x: number): number {
	for (let i = 1; i < from.length; i++) {
		const [low, high] = [from[i - 1] ?? 0, from[i] ?? 0];
		if (x > high) continue;
		const share = high > low ? Math.max(0, (x - low) / (high - low)) : 0;
		return (to[i - 1] ?? 0) + share * ((to[i] ?? 0) - (to[i - 1] ?? 0));
	}
	return to.at(-1) ?? 0;
}

export function fullM3(shape: TankShape): number {
	return volumeAtDipM3(shape, depthM(shape));
}

/** Free surface at a dip, m²: the volume's slope over the dip; 0 above and below the tank. */
export function surfaceAreaM2(shape: TankShape, dipM: number): number {
	const dip = dipM;
	if (dip < 0 || dip > depthM(shape)) return 0;
	switch (shape.kind) {
		case "rectangular":
			return shape.lengthM * shape.widthM;
		case "wedge":
			return shape.lengthM * shape.topWidthM * Math.min(1, dip / (shape.vDepthM ?? shape.depthM));
		case "horizontal-cylinder": {
			const chordSquared = 4 * dip * (shape.diameterM - dip);
			const heads = (Math.PI * (shape.headDepthM ?? 0) * chordSquared) / (2 * shape.diameterM);
			return shape.lengthM * Math.sqrt(chordSquared) + heads;
		}
		case "vertical-cylinder": {
			const { diameterM, heightM, bottomConeM = 0, topConeM = 0 } = shape;
			const above = dip - bottomConeM - heightM;
			const below = bottomConeM > 0 ? Math.min(1, dip / bottomConeM) : 1;
			const width = above > 0 ? 1 - above / topConeM : below;
			return (Math.PI * (diameterM * width) ** 2) / 4;
		}
		case "dip-table":
			return tableSlopeM2(shape, dip);
	}
}

function tableSlopeM2({ dipM, volumeM3 }: DipTable, dip: number): number {
	for (let i = 1; i < dipM.length; i++) {
		const [low, high] = [dipM[i - 1] ?? 0, dipM[i] ?? 0];
		if (dip > high) continue;
		return ((volumeM3[i] ?? 0) - (volumeM3[i - 1] ?? 0)) / (high - low);
	}
	return 0;
}

/**
 * Area that what settles from a full tank rains onto, m²: its largest horizontal section. Slopes
 * count as they are seen from above; where the stuff slides to is `dipAtVolumeM` of its volume.
 */
export function floorAreaM2(shape: TankShape): number {
	switch (shape.kind) {
		case "rectangular":
			return shape.lengthM * shape.widthM;
		case "wedge":
			return shape.lengthM * shape.topWidthM;
		case "horizontal-cylinder":
			return surfaceAreaM2(shape, shape.diameterM / 2);
		case "vertical-cylinder":
			return (Math.PI * shape.diameterM ** 2) / 4;
		case "dip-table":
			return Math.max(...shape.dipM.map((dip) => tableSlopeM2(shape, dip)));
	}
}

/**
 * Dip at a volume, m: the inverse of `volumeAtDipM3`, exact to rounding. A volume outside the tank
 * counts as empty or full.
 */
export function dipAtVolumeM(shape: TankShape, volumeM3: number): number {
	const full = fullM3(shape);
	if (volumeM3 <= 0) return 0;
	if (volumeM3 >= full) return depthM(shape);
	switch (shape.kind) {
		case "rectangular":
			return volumeM3 / (shape.lengthM * shape.widthM);
		case "wedge": {
			const v = shape.vDepthM ?? shape.depthM;
			const area = shape.lengthM * shape.topWidthM;
			const inV = volumeM3 <= (area * v) / 2;
			return inV ? Math.sqrt((2 * v * volumeM3) / area) : volumeM3 / area + v / 2;
		}
		case "dip-table":
			return interpolated(shape.volumeM3, shape.dipM, volumeM3);
		default:
			return solved(shape, volumeM3, full);
	}
}

/** Newton by the surface, inside an interval that holds the root; halved where it leaves it. */
function solved(shape: TankShape, volumeM3: number, full: number): number {
	let low = 0;
	let high = depthM(shape);
	let dip = (high * volumeM3) / full;
	for (let step = 0; step < 100; step++) {
		const error = volumeAtDipM3(shape, dip) - volumeM3;
		if (error > 0) high = dip;
		else low = dip;
		const newton = dip - error / surfaceAreaM2(shape, dip);
		const next = newton > low && newton < high ? newton : (low + high) / 2;
		if (Math.abs(next - dip) <= 2e-16 * dip) return next;
		dip = next;
	}
	return dip;
}

/**
 * Volume in a rectangular tank that lies tilted along its length, m³: W times the integral of the
 * depth, which is 0 where the floor is dry and the tank's own where the lid is wet.
 * @param dipM measured square to the floor
 * @param tiltRad 0 to below a quarter turn
 * @param dipXM where it was dipped, from the low end along the floor
 */
export function tiltedVolumeM3(
	shape: Rectangular,
	dipM: number,
	tiltRad: number,
	dipXM: number = 0,
): number {
	const slope = Math.tan(tiltRad);
	if (slope === 0) return volumeAtDipM3(shape, dipM);
	const atLowEnd = dipM + dipXM * slope;
	// The lid is wet up to here, the floor up to there.
	const lid = Math.min(shape.lengthM, Math.max(0, (atLowEnd - shape.depthM) / slope));
	const floor = Math.min(shape.lengthM, Math.max(0, atLowEnd / slope));
	const between = atLowEnd * (floor - lid) - (slope * (floor * floor - lid * lid)) / 2;
	return shape.widthM * (shape.depthM * lid + between);
}
