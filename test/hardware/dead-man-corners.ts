// The corners of the dead-man's parts that its times are asked at. What lets it go early and what
// lets it go late is known for each part by its sign in the sums of hardware/dead-man/README.md;
// the three capacitors pull both ways, so they are taken in all combinations.

import { beating, type Level } from "./dead-man-bench.ts";
import { least, most, type Values } from "./dead-man-parts.ts";

export interface Corner {
	readonly name: string;
	readonly values: Values;
	readonly celsius: number;
	readonly supplyVolts: number;
	readonly driveVolts: number;
}

/** All that shortens the time to release, or keeps K2 from closing. */
const early = (celsius: number): Values => ({
	...least("rbleed", "ra", "rleak", "bias", "off", "vreg", "lcoil", "dis"),
	...most("rb", "rh", "rpump", "vdrop", "vto", "rcoil"),
	// What leaks through the diodes leaks when they are hot.
	...(celsius > 50 ? most("dleak") : {}),
});
const late: Values = {
	...most("rbleed", "ra", "bias", "off", "vreg", "lcoil", "dis"),
	...least("rb", "rh", "rpump", "vto", "rcoil"),
};

const ends = (...names: string[]) => [
	{ word: `${names.join(" ")} least`, values: least(...names) },
	{ word: `${names.join(" ")} most`, values: most(...names) },
];

export const corners: readonly Corner[] = [-10, 60].flatMap((celsius) =>
	ends("c1a").flatMap((a) =>
		ends("c1b").flatMap((b) =>
			ends("c2").flatMap((reservoir): Corner[] => {
				const caps = { ...a.values, ...b.values, ...reservoir.values };
				const name = `${a.word}, ${b.word}, ${reservoir.word}, ${celsius} °C`;
				return [
					{
						name: `${name}, else early`,
						values: { ...caps, ...early(celsius) },
						celsius,
						supplyVolts: 10,
						driveVolts: 3,
					},
					{
						name: `${name}, else late`,
						values: { ...caps, ...late },
						celsius,
						supplyVolts: 15,
						driveVolts: 5.25,
					},
				];
			}),
		),
	),
);

/** A start, a gap, more beat, an end; the level that it ends on is the parity of the edges. */
export interface Stretch {
	readonly beat: readonly Level[];
	/** First edge, last edge before the gap, first behind it, last of all, s. */
	readonly marks: { first: number; before: number; behind: number; last: number };
	readonly seconds: number;
}

/** The delay of the reset generators is over by then. */
export const READY_S = 0.8;
const PERIOD_S = 0.1;

export function stretch(gapS: number, edges: number, driveVolts: number): Stretch {
	const first = READY_S;
	const before = first + (edges - 1) * PERIOD_S;
	const behind = before + gapS;
	const last = behind + (edges - 1) * PERIOD_S;
	const one = beating(first, edges, driveVolts);
	// The level goes on alternating over the gap.
	const other = beating(behind, edges, driveVolts).map(({ atS, volts }) => ({
		atS,
		volts: edges % 2 === 0 ? volts : volts === 0 ? driveVolts : 0,
	}));
	const marks = { first, before, behind, last };
	return { beat: [...one, ...other], marks, seconds: last + 1.8 };
}

export const rising = (volts: number): ReadonlyArray<readonly [number, number]> => [
	[0, 0],
	[0.01, volts],
];
