// Reference rows of group 13, tanks, by sim/physics/tank-shape.ts. The topic tells shapes apart
// that have the same inputs.

import {
	dipAtVolumeM,
	type Rectangular,
	type TankShape,
	tiltedVolumeM3,
	volumeAtDipM3,
} from "../../../sim/physics/tank-shape.ts";
import type { Adapter, Answer, Inputs } from "../adapter.ts";
import { each, list, needs, one, type Quantity, quantity, read } from "../quantity.ts";

const length = quantity({ L_m: 1 });
const width = quantity({ W_m: 1, width_m: 1 });
const height = quantity({ H_m: 1, total_depth_m: 1, depth_m: 1 });
const diameter = quantity({ D_m: 1 });
const heads = quantity({ head_depth_m: 1 }, 0);
const topWidth = quantity({ top_width_m: 1, width_m: 1 });
const vDepth = quantity({ v_depth_m: 1 });
const dip = quantity({ h_m: 1, h_mm: 0.001, dip_m: 1 });
const volume = quantity({ V_L: 0.001, V_m3: 1 });
const tilt = quantity({ tilt_deg: Math.PI / 180 });
const tiltedDip = quantity({ dip_perp_m: 1, h_m: 1 });
const dipX = quantity({ dip_x_from_low_end_m: 1 }, 0);
const dipTable = quantity({ table_dip_m: 1 });
const volumeTable = quantity({ table_V_L: 0.001, table_V_m3: 1 });

type ShapeOf = (inputs: Inputs) => TankShape | undefined;

/** A shape from single numbers of the row. */
function shaped(of: readonly Quantity[], shape: (...sizes: number[]) => TankShape): ShapeOf {
	return (inputs) => {
		const sizes = of.map((what) => one(inputs, what));
		return sizes.every((size) => size !== undefined) ? shape(...sizes) : undefined;
	};
}

/** Volumes at dips, and dips at volumes, of a shape. */
function answersOf(shapeOf: ShapeOf): Adapter["answers"] {
	const at = (what: Quantity, find: (shape: TankShape, value: number) => number): Answer => {
		return (inputs) => {
			const shape = shapeOf(inputs);
			return shape && each([what], (value = 0) => find(shape, value))(inputs);
		};
	};
	return {
		V_L: at(dip, (shape, value) => volumeAtDipM3(shape, value) * 1000),
		V_m3: at(dip, volumeAtDipM3),
		h_m: at(volume, dipAtVolumeM),
		h_mm: at(volume, (shape, value) => dipAtVolumeM(shape, value) * 1000),
	};
}

const rectangular = shaped([length, width, height], (lengthM = 0, widthM = 0, depthM = 0) => ({
	kind: "rectangular",
	lengthM,
	widthM,
	depthM,
}));

const wedge = shaped([length, topWidth, height], (lengthM = 0, topWidthM = 0, depthM = 0) => ({
	kind: "wedge",
	lengthM,
	topWidthM,
	depthM,
}));

const vBottom = shaped(
	[length, topWidth, height, vDepth],
	(lengthM = 0, topWidthM = 0, depthM = 0, vDepthM = 0) => ({
		kind: "wedge",
		lengthM,
		topWidthM,
		depthM,
		vDepthM,
	}),
);

const lying = shaped([length, diameter, heads], (lengthM = 0, diameterM = 0, headDepthM = 0) => ({
	kind: "horizontal-cylinder",
	lengthM,
	diameterM,
	headDepthM,
}));

/** Ends of 2:1: half the radius deep, whether the row says so or not. */
const lying2To1 = shaped([length, diameter], (lengthM = 0, diameterM = 0) => ({
	kind: "horizontal-cylinder",
	lengthM,
	diameterM,
	headDepthM: diameterM / 4,
}));

const standing = shaped([height, diameter], (heightM = 0, diameterM = 0) => ({
	kind: "vertical-cylinder",
	heightM,
	diameterM,
}));

/** Ends that a library's words call conical or leave flat; other ends have no answer. */
const coned: ShapeOf = (inputs) => {
	const cone = (side: "sideA" | "sideB"): number | undefined => {
		if (inputs[side] === undefined) return 0;
		return inputs[side] === "conical" ? one(inputs, quantity({ [`${side}_a`]: 1 })) : undefined;
	};
	const sizes = [one(inputs, diameter), one(inputs, length), cone("sideA"), cone("sideB")] as const;
	const [diameterM, heightM, bottomConeM, topConeM] = sizes;
	if (diameterM === undefined || heightM === undefined) return undefined;
	if (bottomConeM === undefined || topConeM === undefined) return undefined;
	return { kind: "vertical-cylinder", diameterM, heightM, bottomConeM, topConeM };
};

const table: ShapeOf = (inputs) => {
	const [dipM, volumeM3] = [list(inputs, dipTable), list(inputs, volumeTable)];
	if (dipM === undefined || dipM.length !== volumeM3?.length) return undefined;
	return { kind: "dip-table", dipM, volumeM3 };
};

function tilted(inputs: Inputs): unknown {
	const sizes = [length, width, tilt, tiltedDip, dipX];
	const tall = read(inputs, height) === undefined ? quantity({}, Number.MAX_VALUE) : height;
	return each([...sizes, tall], (lengthM = 0, widthM = 0, slope = 0, at = 0, x = 0, depthM = 0) => {
		const shape: Rectangular = { kind: "rectangular", lengthM, widthM, depthM };
		return tiltedVolumeM3(shape, at, slope, x) * 1000;
	})(inputs);
}

function untilted(inputs: Inputs): unknown {
	const shape = rectangular(inputs);
	return shape && each([tiltedDip], (at = 0) => volumeAtDipM3(shape, at) * 1000)(inputs);
}

export const tankShapeAdapters: readonly Adapter[] = [
	{
		group: 13,
		needs: needs(length, width, tilt, tiltedDip),
		topic: /tilt/,
		answers: { V_L: tilted, untilted_reading_V_L: untilted },
	},
	{
		group: 13,
		needs: needs(length, vDepth, topWidth, height),
		topic: /V-bottom below/,
		answers: answersOf(vBottom),
	},
	{
		group: 13,
		needs: needs(length, topWidth, height),
		topic: /V-bottom prism|wedge/,
		answers: answersOf(wedge),
	},
	{
		group: 13,
		needs: needs(length, width, height),
		topic: /rectangular tank/,
		answers: answersOf(rectangular),
	},
	{
		group: 13,
		needs: ["head_depth_m", ...needs(length, diameter)],
		topic: /horizontal/,
		answers: answersOf(lying),
	},
	{
		group: 13,
		needs: needs(length, diameter),
		topic: /2:1/,
		answers: answersOf(lying2To1),
	},
	{
		group: 13,
		needs: ["sideA|sideB", ...needs(length, diameter)],
		topic: /conical/,
		answers: answersOf(coned),
	},
	{
		group: 13,
		needs: needs(height, diameter),
		topic: /vertical/,
		answers: answersOf(standing),
	},
	{ group: 13, needs: needs(length, diameter), answers: answersOf(lying) },
	{ group: 13, needs: needs(dipTable, volumeTable), answers: answersOf(table) },
];
