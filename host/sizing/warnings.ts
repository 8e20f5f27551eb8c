// What a person should hear before building: where the pump will not lift, where a limit is passed
// and what cures it, and what element, battery, cable and fuse leave to be wished. Pure.

import type { Rig } from "../../firmware/config/rig.ts";
import { batteryKinds } from "../../sim/battery-kinds.ts";
import { dieselOf } from "../../sim/rig-parts.ts";
import { curesOf } from "./cures.ts";
import { AS_STATED } from "./draws.ts";
import type { Electrics } from "./electrics.ts";
import type { SizedCase, Warning, WarningCode } from "./result.ts";
import { limitWords, type Margin } from "./suction-margin.ts";
import type { TankCase, Worked } from "./work-out.ts";

/** Less flow than this share of free flow is none. */
const NO_FLOW = 0.05;
/** Ice reads dry and cracks bowls below it (safety requirement 11). */
const ICE_C = 2;
/** How far off a stated cloud point may be, K (safety requirement 16). */
const CLOUD_K = 4;

/** A case as asked, worked out as stated, and summed up over the draws. */
export interface Told {
	readonly asked: TankCase;
	readonly worked: Worked;
	readonly sized: SizedCase;
}

interface Finding {
	readonly code: WarningCode;
	/** For tanks named in words, worst of them first. */
	readonly say: (tanks: string) => string;
	readonly badness: number;
	readonly cured: (worked: Worked) => boolean;
	readonly atChangeOut: boolean;
}

export function warningsOf(rig: Rig, told: readonly Told[], electrics: Electrics): Warning[] {
	const seasons = [...new Set(told.map(({ asked }) => asked.celsius))];
	const perSeason = seasons.flatMap((celsius) => {
		const cases = told.filter(({ asked }) => asked.celsius === celsius);
		return [...suctionWarnings(rig, cases), ...fuelWarnings(rig, celsius)];
	});
	return [...perSeason, ...workWarnings(rig, told), ...electricWarnings(rig, told, electrics)];
}

/** One warning a code, however many tanks have it; cures are tried on the worst of them. */
function suctionWarnings(rig: Rig, cases: readonly Told[]): Warning[] {
	const found = cases.flatMap((told) =>
		findingsOf(rig, told).map((finding) => ({ told, finding })),
	);
	const codes = [...new Set(found.map(({ finding }) => finding.code))];
	return codes.flatMap((code) => {
		const same = found.filter(({ finding }) => finding.code === code);
		same.sort((a, b) => b.finding.badness - a.finding.badness);
		const [worst] = same;
		if (worst === undefined) return [];
		const { finding, told } = worst;
		const { tank, celsius } = told.asked;
		const { cured, atChangeOut } = finding;
		const tanks = same.map((one) => one.told.asked.tank.name);
		const cures =
			code === "priming-long" ? [] : curesOf({ rig, tank, celsius, cured, atChangeOut });
		return [{ code, tanks, celsius, text: finding.say(tankWords(tanks)), cures }];
	});
}

function findingsOf(rig: Rig, { asked, worked, sized }: Told): Finding[] {
	const { celsius } = asked;
	const { margins, figures } = worked;
	const at = `At ${celsius} °C`;
	if (!lifts(rig, worked)) {
		const why = noLiftWords(rig, asked, worked);
		const say = (tanks: string) => `${at} this pump will not lift this fuel from ${tanks}: ${why}.`;
		const cured = (other: Worked) => lifts(rig, other) && other.margins.clean.kpa >= 0;
		const badness = figures.vacuumCleanKpa;
		return [{ code: "does-not-lift", say, badness, cured, atChangeOut: false }];
	}
	const passed = (code: WarningCode, margin: Margin, when: string, pick: Pick): Finding => ({
		code,
		say: (tanks) => `${at} ${when} ${tanks}: ${passedWords(margin)}.`,
		badness: -margin.kpa,
		cured: (other) => lifts(rig, other) && pick(other).kpa >= 0,
		atChangeOut: code !== "suction-clean",
	});
	const found: Finding[] = [];
	const thinKpa =
		(sized.figures.marginChangeKpa.value ?? 0) - (sized.figures.marginChangeKpa.p10 ?? 0);
	if (margins.clean.kpa < 0) {
		found.push(passed("suction-clean", margins.clean, "with a clean element already,", cleanOf));
	} else if (margins.change.kpa < 0) {
		found.push(
			passed("suction-change", margins.change, "with an element at change-out,", changeOf),
		);
	} else if (margins.low.kpa < 0) {
		const when = "with an element at change-out in a tank nearly empty,";
		found.push(passed("suction-low", margins.low, when, lowOf));
	} else if (margins.change.kpa < thinKpa) {
		found.push({
			code: "suction-thin",
			say: (tanks) =>
				`${at} the margin on the suction side is thin for ${tanks}: ` +
				`in one draw of ten ${limitWords[margins.change.limit]} is passed at change-out.`,
			badness: -margins.change.kpa,
			cured: (other) => lifts(rig, other) && other.margins.change.kpa >= thinKpa,
			atChangeOut: true,
		});
	}
	const { dryRunSecondsMax } = rig.pump;
	if (figures.primingSeconds > dryRunSecondsMax) {
		const seconds = figures.primingSeconds.toFixed(1);
		found.push({
			code: "priming-long",
			say: (tanks) =>
				`${at} priming from ${tanks} takes ${seconds} s and the pump may run dry for ` +
				`${dryRunSecondsMax} s: it takes more than one try, or a line filled by hand.`,
			badness: figures.primingSeconds,
			cured: () => false,
			atChangeOut: false,
		});
	}
	return found;
}

type Pick = (worked: Worked) => Margin;
const cleanOf: Pick = ({ margins }) => margins.clean;
const changeOf: Pick = ({ margins }) => margins.change;
const lowOf: Pick = ({ margins }) => margins.low;

/** It primes at all, and the flow is one that the controller takes for fuel. */
function lifts({ pump, setpoints }: Rig, { figures }: Worked): boolean {
	const leastLph = Math.max(NO_FLOW * pump.freeFlowLph, setpoints.primedFlowLph);
	return Number.isFinite(figures.primingSeconds) && figures.flowCleanLph >= leastLph;
}

function noLiftWords(rig: Rig, asked: TankCase, { figures }: Worked): string {
	if (Number.isFinite(figures.primingSeconds)) {
		const leastLph = rig.setpoints.primedFlowLph;
		return `${figures.flowCleanLph.toFixed(0)} L/h come, and under ${leastLph} L/h is no prime`;
	}
	const column = asked.demandPa(asked.conditions(AS_STATED, "clean"), 0).vacuum / 1e3;
	const suction = asked.si.curve.drySuctionPa / 1e3;
	return `the column is ${column.toFixed(1)} kPa, its suction on air ${suction.toFixed(1)} kPa`;
}

function passedWords({ kpa, limit, limitKpa }: Margin): string {
	const over = (-kpa).toFixed(1);
	return `${over} kPa past the limit of ${limitKpa.toFixed(0)} kPa, ${limitWords[limit]}`;
}

function fuelWarnings(rig: Rig, celsius: number): Warning[] {
	const found: Warning[] = [];
	const { cloudPointC } = dieselOf(rig);
	const one = (code: WarningCode, text: string): Warning => ({
		code,
		tanks: [],
		celsius,
		text,
		cures: [],
	});
	if (celsius < ICE_C) {
		const text = `At ${celsius} °C water in the bowl freezes, cracks it, reads dry: do not pump.`;
		found.push(one("too-cold", text));
	}
	if (celsius < cloudPointC + CLOUD_K) {
		const text =
			`At ${celsius} °C wax may plug the element: the cloud point of ${cloudPointC} °C may be ` +
			`${CLOUD_K} °C off. These figures know no wax.`;
		found.push(one("wax", text));
	}
	return found;
}

function workWarnings(rig: Rig, told: readonly Told[]): Warning[] {
	const tanks = new Map(told.map(({ asked, worked }) => [asked.tank.name, worked.figures]));
	return [...tanks].flatMap(([name, { elementsForTank }]) => {
		if (elementsForTank <= 1) return [];
		const text =
			`Tank ${name} holds the dirt of ${elementsForTank.toFixed(1)} elements at ` +
			`${rig.sizing.dirtMgPerLitre} mg/L: have ${Math.ceil(elementsForTank)} ready, coarse first.`;
		return [{ code: "element-small" as const, tanks: [name], celsius: null, text, cures: [] }];
	});
}

function electricWarnings(rig: Rig, told: readonly Told[], electrics: Electrics): Warning[] {
	const found: Warning[] = [];
	const say = (code: WarningCode, text: string, cures: string[]) =>
		found.push({ code, tanks: [], celsius: null, text, cures });
	const usablePct = 100 * batteryKinds[rig.supply.chemistry].usableShare;
	const takenPct = Math.max(...told.map(({ worked }) => worked.figures.batteryPct));
	if (takenPct > usablePct) {
		const hours = Math.floor((10 * rig.sizing.sessionHours * usablePct) / takenPct) / 10;
		const text =
			`A session of ${rig.sizing.sessionHours} h takes ${takenPct.toFixed(0)} % of the battery; ` +
			`${usablePct} % may be used.`;
		say("battery", text, [`end the session after ${hours} h, or charge meanwhile`]);
	}
	const { dropPct, mm2Under3Pct, mm2Under10Pct, cableMm2, fuseFitA, fuseA, ampacityA } = electrics;
	if (dropPct > 3) {
		const lost = `The cable of ${cableMm2} mm² loses ${dropPct.toFixed(1)} % of the voltage`;
		const size = dropPct > 10 ? mm2Under10Pct : mm2Under3Pct;
		const most = dropPct > 10 ? 10 : 3;
		const cures = size === null ? [] : [`use ${size} mm²: under ${most} %`];
		say("cable-drop", `${lost}, over ${most} %.`, cures);
	}
	if (fuseFitA === null) {
		const text = "No blade fuse both lets the motor start and guards this cable.";
		say("fuse", text, ["use a thicker cable"]);
	} else if (fuseA < fuseFitA) {
		const text = `The fuse of ${fuseA} A may melt when the motor starts.`;
		say("fuse", text, [`use a fuse of ${fuseFitA} A`]);
	} else if (fuseA > (ampacityA ?? 0)) {
		const text = `The fuse of ${fuseA} A does not guard a cable that carries ${ampacityA} A.`;
		say("fuse", text, [`use a fuse of ${fuseFitA} A`]);
	}
	return found;
}

/** `tank day`, `tanks day and port`. */
function tankWords(names: readonly string[]): string {
	const last = names.at(-1) ?? "";
	return names.length < 2 ? `tank ${last}` : `tanks ${names.slice(0, -1).join(", ")} and ${last}`;
}
