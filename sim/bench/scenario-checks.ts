// What a scenario's schema cannot see alone: names of tanks, the rig's volumes, sizes of faults,
// times after the end. Pure; imports the rows of faults and acts, and types.

import type { Rig } from "../../firmware/config/rig.ts";
import { type Fault, faultRows } from "../faults.ts";
import { detailProblem } from "./crew-schema.ts";
import type { Scenario } from "./scenario.ts";

type Path = ReadonlyArray<string | number>;

/** Something that does not fit the rest: where it stands, and what would. */
interface Misfit {
	readonly path: Path;
	readonly allowed: string;
}

export function misfits(scenario: Scenario, rig: Rig): Misfit[] {
	return [
		...startMisfits(scenario, rig),
		...workMisfits(scenario, rig),
		...faultMisfits(scenario),
		...crewMisfits(scenario),
		...timeMisfits(scenario),
		...expectationMisfits(scenario),
	];
}

const FILLED = "a tank that start.tanks fills";

function startMisfits({ start }: Scenario, rig: Rig): Misfit[] {
	const found: Misfit[] = [];
	for (const end of ["tube", "return"] as const) {
		if (Object.hasOwn(start.tanks, start[end])) continue;
		found.push({ path: ["start", end], allowed: FILLED });
	}
	for (const [name, tank] of Object.entries(start.tanks)) {
		const volume = rig.tanks.find((candidate) => candidate.name === name)?.volumeLitres;
		const path = ["start", "tanks", name];
		if (volume === undefined) found.push({ path, allowed: `one of ${namesOf(rig)}` });
		else if (tank.fuelLitres + tank.freeWaterLitres > volume) {
			found.push({ path, allowed: `no more than the tank's ${volume} L` });
		}
	}
	return found;
}

/** An order or the work of a plan: one of the three. */
interface AnyWork {
	readonly polish?: { readonly tank: string } | undefined;
	readonly transfer?: { readonly from: string; readonly to: string } | undefined;
	readonly sweep?: { readonly tank: string } | undefined;
}

function workMisfits({ orders, plans }: Scenario, rig: Rig): Misfit[] {
	const allowed = `one of ${namesOf(rig)}`;
	const unknown = (work: AnyWork, path: Path) =>
		tanksOf(work)
			.filter(([, tank]) => tank !== undefined && !rig.tanks.some(({ name }) => name === tank))
			.map(([keys]) => ({ path: [...path, ...keys], allowed }));
	return [
		...orders.flatMap((order, i) => unknown(order, ["orders", i])),
		...plans.flatMap(({ plan }, i) => unknown(plan.work, ["plans", i, "plan", "work"])),
	];
}

function tanksOf({ polish, transfer, sweep }: AnyWork) {
	return [
		[["polish", "tank"], polish?.tank],
		[["transfer", "from"], transfer?.from],
		[["transfer", "to"], transfer?.to],
		[["sweep", "tank"], sweep?.tank],
	] as const;
}

function faultMisfits({ faults }: Scenario): Misfit[] {
	return faults.flatMap(({ fault, size, overSeconds }, i) => {
		const found: Misfit[] = [];
		const words = sizeWords(fault, size);
		if (words !== null) found.push({ path: ["faults", i, "size"], allowed: words });
		const { size: row } = faultRows[fault];
		if (overSeconds !== undefined && (row === undefined || row.atOnce)) {
			const allowed = `left out: ${fault} comes at once`;
			found.push({ path: ["faults", i, "overSeconds"], allowed });
		}
		return found;
	});
}

/** What a fault's size may be, where it is not that. */
function sizeWords(fault: Fault, size: number | undefined): string | null {
	if (size === undefined) return null;
	const { size: row } = faultRows[fault];
	if (row === undefined) return `left out: ${fault} has no size`;
	const fits = size >= row.min && size <= row.max;
	return fits ? null : `${row.min} to ${row.max} ${row.unit}`;
}

function crewMisfits({ crew, start }: Scenario): Misfit[] {
	return crew.flatMap((act, i) => {
		const found: Misfit[] = [];
		const wrong = detailProblem(act);
		if (wrong !== null) found.push({ path: ["crew", i, wrong.key], allowed: wrong.allowed });
		if (act.tank !== undefined && !Object.hasOwn(start.tanks, act.tank)) {
			found.push({ path: ["crew", i, "tank"], allowed: FILLED });
		}
		return found;
	});
}

/** What would never come about, or is given for nothing. */
function timeMisfits({ hoursMax, ...scenario }: Scenario): Misfit[] {
	const lists = ["orders", "plans", "crew", "weather", "faults"] as const;
	return lists.flatMap((list) =>
		scenario[list].flatMap(({ atSeconds, afterSeconds, everyTime }, i): Misfit[] => {
			if (atSeconds === undefined) return [];
			const only = "left out: it goes with uponTrip, uponState or uponProof";
			return [
				...(atSeconds > hoursMax * 3_600
					? [{ path: [list, i, "atSeconds"], allowed: `before the end: hoursMax is ${hoursMax} h` }]
					: []),
				...(afterSeconds > 0 ? [{ path: [list, i, "afterSeconds"], allowed: only }] : []),
				...(everyTime ? [{ path: [list, i, "everyTime"], allowed: only }] : []),
			];
		}),
	);
}

function expectationMisfits({ expect, nearly, faults }: Scenario): Misfit[] {
	const wanted = expect.flatMap((one) =>
		"trips" in one ? one.trips : "trip" in one ? [one.trip] : [],
	);
	const found: Misfit[] = nearly.flatMap(({ trip }, i) =>
		wanted.includes(trip)
			? [{ path: ["nearly", i, "trip"], allowed: "a trip that expect does not ask for" }]
			: [],
	);
	expect.forEach((one, i) => {
		if (!("after" in one) || !Object.hasOwn(faultRows, one.after)) return;
		if (faults.some(({ fault }) => fault === one.after)) return;
		found.push({ path: ["expect", i, "after"], allowed: "a fault of this file's faults" });
	});
	return found;
}

const namesOf = ({ tanks }: Rig): string => tanks.map(({ name }) => name).join(", ");
