// Smaller and plainer stories than a given one: fewer faults, a shorter order, a calm sea, clean
// tanks, the example rig's parts. Each step gives its candidates, the largest cut first; whether
// one still shows what the first one showed is for shrink.ts to find out. Pure.

import { InputError } from "../../../firmware/config/input-error.ts";
import { type Rig, readRig } from "../../../firmware/config/rig.ts";
import type { Scenario } from "../scenario.ts";
import { rounded } from "./dice.ts";
import type { DrawnFault } from "./fault-draw.ts";
import { type DrawnOrder, tankOf } from "./order-draw.ts";
import type { Story } from "./story-draw.ts";
import { chargedVolts } from "./world-draw.ts";

type Start = Scenario["start"];
type TankStart = Start["tanks"][string];

/** Candidates in place of a story, best first. @param usual a rig that somebody knows well */
export type Step = (story: Story, usual: Rig) => Story[];

/** Orders shorter than that show nothing, L. */
const LITRES_MIN = 3;
/** A fault strikes so soon, s; a crew comes so soon, and waits so little, s. */
const SOON_S = [0, 5, 30] as const;
const COMES_S = 30;
const LINGERS_S = 60;
const SEES_S = 5;
/** What nobody looks at twice: the scenario file's own defaults, where it has them. */
const PLAIN = { airC: 15, airSwingK: 0, altitudeM: 0, chargerAmps: 0, meterErrorPct: 0 } as const;
const PLAIN_OHM = 20_000;
const CLEAN = { freeWaterLitres: 0, dispersedWaterPpm: 60, dirtGrams: 0, sludgeGrams: 0 } as const;

export const steps: readonly Step[] = [
	withoutFaults,
	plainFaults,
	shorterOrder,
	shorterWaits,
	plainWorld,
	plainTanks,
	fewerTanks,
	usualParts,
];

const withScenario = (story: Story, change: Partial<Scenario>): Story => ({
	...story,
	scenario: { ...story.scenario, ...change },
});

const withStart = (story: Story, change: Partial<Start>): Story =>
	withScenario(story, { start: { ...story.scenario.start, ...change } });

export function withoutFaults(story: Story): Story[] {
	const { faults } = story.scenario;
	const each = faults.map((fault) => faults.filter((other) => other !== fault));
	return [[], ...each].map((left) => withScenario(story, { faults: left }));
}

/** Sudden, of the usual size, in a run, soon. */
function plainFaults(story: Story): Story[] {
	const { faults } = story.scenario;
	return faults.flatMap((fault, i) =>
		plainerFaults(fault).map((plainer) => withScenario(story, { faults: faults.with(i, plainer) })),
	);
}

function plainerFaults(fault: DrawnFault): DrawnFault[] {
	const { size: _, overSeconds: __, ...plain } = fault;
	const { overSeconds: ___, ...sudden } = fault;
	const { size: ____, ...usual } = fault;
	const { afterSeconds, uponState } = fault;
	const sooner = SOON_S.filter((seconds) => seconds < afterSeconds);
	const half = rounded(afterSeconds / 2);
	return [
		plain,
		sudden,
		usual,
		...sooner.map((seconds) => ({ ...fault, afterSeconds: seconds })),
		...(half > SOON_S[2] ? [{ ...fault, afterSeconds: half }] : []),
		...(uponState === "polishing" ? [] : [{ ...fault, uponState: "polishing" as const }]),
	];
}

function shorterOrder(story: Story): Story[] {
	const { order, litres, pumpMinutes, standMinutes } = story.order;
	const { polish, transfer } = order;
	const withOrder = (drawn: DrawnOrder): Story => {
		const orders = story.scenario.orders.map((one) => ({ ...one, ...drawn.order }));
		return { ...withScenario(story, { orders }), order: drawn };
	};
	const shorter = [LITRES_MIN, rounded(litres / 4), rounded(litres / 2)]
		.filter((less) => less >= LITRES_MIN && less < litres)
		.map((less): DrawnOrder => {
			const work = polish
				? { polish: { ...polish, litres: less } }
				: transfer
					? { transfer: { ...transfer, litres: less } }
					: {};
			const minutes = rounded((pumpMinutes * less) / litres);
			return { order: { ...order, ...work }, litres: less, pumpMinutes: minutes, standMinutes };
		});
	const unswept =
		polish?.sweepFirst === true
			? [
					{
						...story.order,
						order: { ...order, polish: { ...polish, sweepFirst: false } },
						standMinutes: 0,
					},
				]
			: [];
	return [...shorter, ...unswept].map(withOrder);
}

function shorterWaits(story: Story): Story[] {
	const { comesAfterS, lingersS, seesAfterS } = story;
	const least = {
		comesAfterS: Math.min(comesAfterS, COMES_S),
		lingersS: Math.min(lingersS, LINGERS_S),
		seesAfterS: Math.min(seesAfterS, SEES_S),
	};
	return [
		{ ...story, ...least },
		{ ...story, lingersS: least.lingersS },
		{ ...story, comesAfterS: least.comesAfterS },
	];
}

function plainWorld(story: Story): Story[] {
	const { sea: _, ...calm } = story.scenario.start;
	const withoutSea = withScenario(story, { start: calm });
	const plain = { ...PLAIN, waterOhm: PLAIN_OHM, batteryVolts: chargedVolts(story.rig) };
	return [
		withStart(withoutSea, plain),
		withoutSea,
		...Object.entries(plain).map(([key, value]) => withStart(story, { [key]: value })),
	];
}

/** Clean and half full; each by itself and all. */
function plainTanks(story: Story): Story[] {
	const { tanks } = story.scenario.start;
	const volume = (name: string) =>
		story.rig.tanks.find((tank) => tank.name === name)?.volumeLitres ?? 0;
	const withTanks = (change: (tank: TankStart, name: string) => TankStart) =>
		withStart(story, {
			tanks: Object.fromEntries(
				Object.entries(tanks).map(([name, tank]) => [name, change(tank, name)]),
			),
		});
	const fuelLitres = (name: string) => Math.round(volume(name) / 2);
	return [
		withTanks((_, name) => ({ fuelLitres: fuelLitres(name), ...CLEAN })),
		withTanks((tank) => ({ ...tank, ...CLEAN })),
		...Object.entries(CLEAN).map(([key, value]) =>
			withTanks((tank) => ({ ...tank, [key]: value })),
		),
		withTanks((tank, name) => ({ ...tank, fuelLitres: fuelLitres(name) })),
	];
}

/** Without tanks that neither tube nor return nor order names. */
function fewerTanks(story: Story): Story[] {
	const { start } = story.scenario;
	const to = story.order.order.transfer?.to ?? "";
	const named = new Set([start.tube, start.return, tankOf(story.order.order), to]);
	const rig = checked({ ...story.rig, tanks: story.rig.tanks.filter((t) => named.has(t.name)) });
	if (rig === null) return [];
	const tanks = Object.fromEntries(Object.entries(start.tanks).filter(([name]) => named.has(name)));
	return [{ ...withStart(story, { tanks }), rig }];
}

/** Parts that hang together are put in together. */
const GROUPS: ReadonlyArray<ReadonlyArray<keyof Rig>> = [
	["pump", "meter", "supply", "setpoints", "tube", "hose", "returnHose"],
	["pump", "meter", "supply", "setpoints"],
	["bowl", "element"],
	["bowl"],
	["element"],
	["tube", "hose", "returnHose"],
	["hose", "returnHose"],
	["fuel"],
	["sensors"],
];

/** The known rig's parts in place of the drawn ones, all and group by group. */
function usualParts(story: Story, usual: Rig): Story[] {
	const [tank] = usual.tanks;
	const { tanks } = story.rig;
	const own = { rig: story.rig.rig, tanks };
	const parts = (keys: ReadonlyArray<keyof Rig>) => ({
		...story.rig,
		...Object.fromEntries(keys.map((key) => [key, usual[key]])),
	});
	const usualTanks = tank === undefined ? tanks : tanks.map(({ name }) => ({ ...tank, name }));
	return [
		{ ...usual, ...own, tanks: usualTanks },
		{ ...usual, ...own },
		...GROUPS.map(parts),
		{ ...story.rig, tanks: usualTanks },
	].flatMap((rig) => withRig(story, rig));
}

/** The battery's volts go with the pump's, and what the tanks hold with what they have room for. */
function withRig(story: Story, wanted: Rig): Story[] {
	const rig = checked(wanted);
	if (rig === null) return [];
	const { start } = story.scenario;
	const { ratedVolts } = rig.pump;
	const isOther =
		ratedVolts !== story.rig.pump.ratedVolts || rig.supply.chemistry !== story.rig.supply.chemistry;
	const tanks = Object.entries(start.tanks).map(([name, tank]) => {
		const had = story.rig.tanks.find((one) => one.name === name)?.volumeLitres ?? 0;
		const has = rig.tanks.find((one) => one.name === name)?.volumeLitres ?? 0;
		const fuelLitres = had === has ? tank.fuelLitres : rounded((tank.fuelLitres * has) / had);
		return [name, { ...tank, fuelLitres }];
	});
	const batteryVolts = isOther ? chargedVolts(rig) : start.batteryVolts;
	return [{ ...withStart(story, { batteryVolts, tanks: Object.fromEntries(tanks) }), rig }];
}

/** As the rig file's own schema reads it; null where it would not. */
function checked(rig: Rig): Rig | null {
	try {
		return readRig(JSON.stringify(rig), rig.rig);
	} catch (error) {
		if (error instanceof InputError) return null;
		throw error;
	}
}
