// Sizes a rig: each tank, cold and warm, as stated and over the draws. Pure: no file, no clock.
// Imports its own folder and the config's type.

import type { Rig } from "../../firmware/config/rig.ts";
import { assumptionsOf } from "./assumptions.ts";
import { AS_STATED, drawSamples, type Sample, spreadOf } from "./draws.ts";
import { electricsOf } from "./electrics.ts";
import { type FigureName, figureNames, figuresSchema, rounded, type Spread } from "./figures.ts";
import { CAUTIONS, ESTIMATE, type SizedCase, type SizingResult } from "./result.ts";
import { rigInSi } from "./rig-in-si.ts";
import type { Margin } from "./suction-margin.ts";
import { type Told, warningsOf } from "./warnings.ts";
import { TankCase, type Worked } from "./work-out.ts";

export const USUAL_DRAWS = 2_000;
export const USUAL_SEED = 1;

export interface SizeOptions {
	readonly seed?: number;
	readonly draws?: number;
	/** Called before each case, for whoever waits. */
	readonly progress?: (tank: string, celsius: number) => void;
}

export interface Sizing {
	readonly result: SizingResult;
	/** The cases behind it, for drawing their curves. */
	readonly told: readonly Told[];
}

export function sizeRig(rig: Rig, options: SizeOptions = {}): Sizing {
	const { seed = USUAL_SEED, draws = USUAL_DRAWS, progress = () => {} } = options;
	const si = rigInSi(rig);
	// The same draws for all cases: what differs between them is the case, not luck.
	const samples = drawSamples(rig.sizing.uncertainty, seed, draws);
	const { coldC, warmC } = rig.sizing;
	const seasons = [
		["cold", coldC],
		["warm", warmC],
	] as const;
	const told = rig.tanks.flatMap((tank) =>
		seasons.map(([season, celsius]) => {
			progress(tank.name, celsius);
			const asked = new TankCase(si, tank, celsius);
			const worked = asked.workOut(AS_STATED);
			const { litres } = asked;
			const { clean, change, low } = worked.margins;
			const sized: SizedCase = {
				tank: tank.name,
				season,
				celsius,
				litres: rounded(litres) ?? 0,
				limits: { clean: limitOf(clean), change: limitOf(change), low: limitOf(low) },
				figures: spreadsOf(asked, worked, samples),
			};
			return { asked, worked, sized };
		}),
	);
	const electrics = electricsOf(rig, Math.max(...told.map(({ worked }) => mostAmps(worked))));
	const result: SizingResult = {
		rig: rig.rig,
		invented: rig.invented,
		seed,
		draws,
		estimate: ESTIMATE,
		cases: told.map(({ sized }) => sized),
		electrics,
		warnings: warningsOf(rig, told, electrics),
		assumptions: assumptionsOf(si),
		cautions: [...CAUTIONS],
	};
	return { result, told };
}

const mostAmps = ({ clean, change }: Worked): number => Math.max(clean.amps, change.amps);

const limitOf = ({ limit, limitKpa }: Margin) => ({ name: limit, kpa: rounded(limitKpa) ?? 0 });

function spreadsOf(
	asked: TankCase,
	stated: Worked,
	samples: readonly Sample[],
): Record<FigureName, Spread> {
	const columns = figureNames.map((name) => ({ name, drawn: new Float64Array(samples.length) }));
	samples.forEach((sample, i) => {
		const { figures } = asked.workOut(sample);
		for (const { name, drawn } of columns) drawn[i] = figures[name];
	});
	const spreads = columns.map(({ name, drawn }) => [name, spreadOf(stated.figures[name], drawn)]);
	return figuresSchema.parse(Object.fromEntries(spreads));
}
