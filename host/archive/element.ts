// The element in use: what it has seen since its change, how its restriction grew run by run, and
// what it still takes, by the firmware's own fit and forecast. Pure but for the tally asked for.

import type { LogRecord } from "../../firmware/log/record.ts";
import { forecast, type Interval } from "../../firmware/sense/restriction.ts";
import type { ElementAnswer } from "./answers.ts";
import { type RigLog, runsIn, type StoreLog, whenOf } from "./rig-log.ts";
import {
	elementParts,
	isSinceChange,
	lastChange,
	litresIn,
	movedFields,
	type TallyAt,
} from "./run-rows.ts";
import { movedBy } from "./totals.ts";

type Restriction = Extract<LogRecord, { kind: "restriction" }>;

/** The last that was told of the element in use, with its store; null where nothing was. */
export function lastRestriction(rig: RigLog): { store: StoreLog; record: Restriction } | null {
	return restrictionsOf(rig).at(-1) ?? null;
}

function restrictionsOf(rig: RigLog): Array<{ store: StoreLog; record: Restriction }> {
	const change = lastChange(rig);
	return rig.stores.flatMap((store) =>
		store.history.flatMap((record) =>
			record.kind === "restriction" && isSinceChange(rig, change, store.storeId, record.seq)
				? [{ store, record }]
				: [],
		),
	);
}

/** What the forecast says with the tank that was last at work. */
export const forecastOf = ({ element, fit, tankLitres }: Restriction) =>
	forecast({ element }, fit, tankLitres ?? Number.POSITIVE_INFINITY);

export function elementRow(rig: RigLog, tallyAt: TallyAt): ElementAnswer {
	const change = lastChange(rig);
	const { parts, runs } = elementParts(rig, tallyAt);
	const last = lastRestriction(rig);
	const foreseen = last === null ? null : forecastOf(last.record);
	return {
		rig: rig.rig,
		micron: change?.micron ?? null,
		changed: change?.atUtcMs ?? null,
		runs,
		...movedFields(movedBy(parts)),
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
		trend: trendOf(rig),
		forecast:
			foreseen === null ? null : { grams: finite(foreseen.grams), litres: finite(foreseen.litres) },
	};
}

/** The restriction at the end of each run of the element, and the litres by then. */
function trendOf(rig: RigLog): ElementAnswer["trend"] {
	const told = restrictionsOf(rig);
	const change = lastChange(rig);
	const rows: ElementAnswer["trend"] = [];
	let litres = 0;
	const runs = runsIn(rig).filter(({ store, run }) =>
		isSinceChange(rig, change, store.storeId, run.begin.seq),
	);
	runs.forEach(({ store, run }, i) => {
		litres += litresIn([run]);
		const next = runs[i + 1];
		const endSeq = next?.store === store ? next.run.begin.seq : Number.POSITIVE_INFINITY;
		const own = told.findLast(
			({ store: of, record: { seq } }) => of === store && seq > run.begin.seq && seq < endSeq,
		);
		if (own === undefined) return;
		const { tank, fit } = own.record;
		const began = whenOf(store, run.begin);
		rows.push({ run: run.begin.seq, began, tank, litres, kpa: fit.kpa });
	});
	return rows;
}

/** JSON knows no infinity: null is never. */
const finite = ({ low, median, high }: Interval) => ({
	low: finiteOr(low),
	median: finiteOr(median),
	high: finiteOr(high),
});

const finiteOr = (value: number): number | null => (Number.isFinite(value) ? value : null);
