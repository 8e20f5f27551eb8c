// The element in use: what it has seen since its change, how its restriction grew run by run, and
// what it still takes, by the firmware's own fit and forecast; and in short all those before it.
// Pure but for the tally asked for.

import { forecast, type Interval } from "../../firmware/sense/restriction.ts";
import type { ElementAnswer, PastElementAnswer } from "./answers.ts";
import {
	type ElementSpan,
	elementSpans,
	partsOf,
	type TallyAt,
	type Told,
} from "./element-spans.ts";
import { type RigLog, whenOf } from "./rig-log.ts";
import { movedFields } from "./run-rows.ts";
import { movedBy } from "./totals.ts";

/** What the forecast says with the tank that was last at work. */
export const forecastOf = ({ element, fit, tankLitres }: Told["record"]) =>
	forecast({ element }, fit, tankLitres ?? Number.POSITIVE_INFINITY);

export function elementRow(rig: RigLog, tallyAt: TallyAt): ElementAnswer {
	const span = elementSpans(rig, tallyAt).at(-1);
	const last = span?.last ?? null;
	const foreseen = last === null ? null : forecastOf(last.record);
	return {
		rig: rig.rig,
		...seenBy(span),
		restriction:
			last === null
				? null
				: {
						when: whenOf(last.store, last.record),
						tank: last.record.tank,
						kpa: last.record.fit.kpa,
						cleanKpa: last.record.element.cleanKpa,
						changeAtKpa: last.record.element.changeAtKpa,
						kpaPerLitre: last.record.fit.perLitre,
						samples: last.record.fit.samples,
					},
		trend: [...(span?.trend ?? [])],
		forecast:
			foreseen === null ? null : { grams: finite(foreseen.grams), litres: finite(foreseen.litres) },
	};
}

/** Every element that was in use, first to last; the first may have been there before the log. */
export const elementHistory = (rig: RigLog, tallyAt: TallyAt): PastElementAnswer[] =>
	elementSpans(rig, tallyAt).map((span) => ({
		rig: rig.rig,
		...seenBy(span),
		until: span.until?.atUtcMs ?? null,
		lastKpa: span.last?.record.fit.kpa ?? null,
	}));

const seenBy = (span: ElementSpan | undefined) => ({
	micron: span?.change?.micron ?? null,
	changed: span?.change?.atUtcMs ?? null,
	runs: span?.pieces.length ?? 0,
	...movedFields(movedBy(span === undefined ? [] : partsOf(span))),
});

/** JSON knows no infinity: null is never. */
const finite = ({ low, median, high }: Interval) => ({
	low: finiteOr(low),
	median: finiteOr(median),
	high: finiteOr(high),
});

const finiteOr = (value: number): number | null => (Number.isFinite(value) ? value : null);
