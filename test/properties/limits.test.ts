// The whole range of every setpoint lies inside the interlock's limits, and so does the time of
// every finding: whatever a rig file says, the detectors come first. Each setpoint and each limit
// is named here, so that a new one has to say where it stands.

import { describe, expect, it } from "vitest";
import { pumpSchema } from "../../firmware/config/rig-parts.ts";
import { type SetpointName, setpointRows } from "../../firmware/cycle/setpoints.ts";
import { INTERLOCK } from "../../firmware/interlock.ts";
import type { FindingName } from "../../firmware/sense/finding-names.ts";
import { rowsOf } from "../../firmware/sense/finding-rows.ts";
import { exampleRig, polishing, type World } from "../stories/world.ts";

type LimitName = keyof typeof INTERLOCK;

interface Pair {
	readonly setpoint: SetpointName;
	readonly limit: LimitName;
	/** The limit in the setpoint's unit. */
	readonly at: number;
	/** The setpoint acts below the limit, or above it. */
	readonly inside: "below" | "above";
}

const pairs: readonly Pair[] = [
	{ setpoint: "waterDelayMs", limit: "wetMsMax", at: INTERLOCK.wetMsMax, inside: "below" },
	{ setpoint: "sensorLostMs", limit: "unknownMsMax", at: INTERLOCK.unknownMsMax, inside: "below" },
	{
		setpoint: "dryRunDelayMs",
		limit: "dryPumpMsMax",
		// The block of a second in which flow is measured comes before it.
		at: INTERLOCK.dryPumpMsMax - 1_000,
		inside: "below",
	},
	{
		setpoint: "overcurrentPct",
		limit: "ampsShare",
		at: 100 * INTERLOCK.ampsShare,
		inside: "below",
	},
	{ setpoint: "supplyFloorVolts", limit: "voltsMin", at: INTERLOCK.voltsMin, inside: "above" },
	{ setpoint: "supplyHighVolts", limit: "voltsMax", at: INTERLOCK.voltsMax, inside: "below" },
	{ setpoint: "vacuumStopKpa", limit: "vacuumKpaMax", at: INTERLOCK.vacuumKpaMax, inside: "below" },
	{
		setpoint: "destinationFullPct",
		limit: "fullShareMax",
		at: 100 * INTERLOCK.fullShareMax,
		inside: "below",
	},
	{ setpoint: "caseStopC", limit: "caseCMax", at: INTERLOCK.caseCMax, inside: "below" },
];

/** Why a setpoint has no limit of the interlock's behind it. */
const alone: Readonly<Partial<Record<SetpointName, string>>> = {
	waterProbeKohm: "what wet means: both ask the same probe",
	waterGoneMs: "permits, after a stop",
	primedFlowLph: "permits; without it the pump's own dry limit ends the try",
	primedForMs: "permits; the same",
	dryFlowLph: "the interlock's mark is a share of the pump's own flow, never above this",
	primeTriesMax: "each try ends by the pump's own dry limit",
	hornMs: "before the pump",
	strayCurrentA: "the pump is off: there is nothing left to open",
	strayDelayMs: "the same",
	recordPatienceMs: "of the log",
	suctionRiseKpa: "a rise, not a level: the level has vacuumStopKpa",
	noCurrentPct: "a motor without current turns nothing",
	supplyHoldVolts: "above supplyFloorVolts by the rig's own check",
	supplyResumeVolts: "above supplyHoldVolts by the rig's own check",
	tooColdC: "wax shows as vacuum",
	caseRestC: "under caseStopC by the rig's own check",
	chargingVolts: "permits a plan; turns nothing off",
	levelDriftPct: "the tank that fills has destinationFullPct",
	sourceLowPct: "an empty tank shows as air",
	siphonLph: "the pump is off",
	holdHoursMax: "the pump is off",
	armedHoursMax: "of arming",
	confirmMinutesMax: "of attending",
	timeLimitMinutes: "of an order; one stretch has the pump's own rating",
};

/** Findings that stand before a time of the interlock's. */
const times: ReadonlyArray<readonly [FindingName, LimitName]> = [
	["water", "wetMsMax"],
	["probeLost", "unknownMsMax"],
	["stopLost", "unknownMsMax"],
	["leak", "trayWetMsMax"],
	["returnOut", "returnOutMsMax"],
	["overcurrent", "overAmpsMsMax"],
	["supplyLow", "underVoltsMsMax"],
	["supplyHigh", "overVoltsMsMax"],
	["restrictionHigh", "overVacuumMsMax"],
	["destinationFull", "overFullMsMax"],
	["motorHot", "overHotMsMax"],
	["dry", "dryPumpMsMax"],
];

/** The example rig, every delay as long as its file may make it and every mark as far out. */
const slowest = exampleRig((text) =>
	text.replace(
		"setpoints: {}",
		`setpoints: { ${[
			`waterDelayMs: ${setpointRows.waterDelayMs.max}`,
			`sensorLostMs: ${setpointRows.sensorLostMs.max}`,
			`dryRunDelayMs: ${setpointRows.dryRunDelayMs.max}`,
			`overcurrentPct: ${setpointRows.overcurrentPct.max}`,
			`supplyFloorVolts: ${setpointRows.supplyFloorVolts.min}`,
			`supplyHighVolts: ${setpointRows.supplyHighVolts.max}`,
			`vacuumStopKpa: ${setpointRows.vacuumStopKpa.max}`,
			`suctionRiseKpa: ${setpointRows.suctionRiseKpa.max}`,
			`destinationFullPct: ${setpointRows.destinationFullPct.max}`,
			`levelDriftPct: ${setpointRows.levelDriftPct.max}`,
			`caseStopC: ${setpointRows.caseStopC.max}`,
		].join(", ")} }`,
	),
);

describe("the range of a setpoint", () => {
	it.each(pairs)("$setpoint lies inside $limit", ({ setpoint, at, inside }) => {
		const { min, max, preset } = setpointRows[setpoint];
		expect(preset).toBeGreaterThanOrEqual(min);
		expect(preset).toBeLessThanOrEqual(max);
		if (inside === "below") expect(max).toBeLessThan(at);
		else expect(min).toBeGreaterThan(at);
	});

	it("is named here with its limit, or with why it has none, and not both", () => {
		const named = [...pairs.map(({ setpoint }) => setpoint), ...Object.keys(alone)];
		expect(named.sort()).toEqual(Object.keys(setpointRows).sort());
	});

	it("contains its preset, for every setpoint", () => {
		for (const { min, max, preset } of Object.values(setpointRows)) {
			expect(min).toBeLessThan(max);
			expect(preset).toBe(Math.min(max, Math.max(min, preset)));
		}
	});

	it("of the pump's own rating ends before the interlock's time too", () => {
		const { dryRunSecondsMax, runMinutesMax } = pumpSchema.shape;
		expect(dryRunSecondsMax.maxValue).toBeLessThan(INTERLOCK.dryPumpMsMax / 1000);
		expect(runMinutesMax.maxValue).toBeLessThan(INTERLOCK.pumpOnMsMax / 60_000);
	});
});

describe("the time of a finding", () => {
	const rows = new Map(rowsOf(slowest));

	it.each(times)("%s comes before %s, with the slowest setpoints", (finding, limit) => {
		const onMs = rows.get(finding)?.onMs ?? Number.POSITIVE_INFINITY;
		expect(onMs).toBeLessThan(INTERLOCK[limit]);
	});

	it("or a setpoint's or the pump's own stands before every limit", () => {
		// Stretch: the pump's rating. Gap: two senders in one tank; the detectors have the same
		// number. Low flow: a share of the pump's own, and never more than dryFlowLph.
		const named = new Set<string>(["pumpOnMsMax", "levelGapMax", "lowFlowShare"]);
		for (const { limit } of pairs) named.add(limit);
		for (const [, limit] of times) named.add(limit);
		expect([...named].sort()).toEqual(Object.keys(INTERLOCK).sort());
	});
});

describe("with the slowest setpoints the detectors still come first", () => {
	it.each<[string, (world: World) => void, number]>([
		["water", (world) => world.set({ probeOhm: 1_000 }), 2],
		["a cut probe", (world) => world.facts.silent.add("bowl-probe"), 4],
		["a cut stop loop", (world) => world.facts.silent.add("stop-loop"), 4],
		["a wet tray", (world) => world.set({ trayWet: true }), 3],
		["a return out", (world) => world.set({ returnOut: true }), 2],
		["a stalled motor", (world) => world.set({ motorAmps: 9 }), 3],
		["a supply far too low", (world) => world.set({ supplyVolts: 9.5 }), 8],
		["a supply far too high", (world) => world.set({ supplyVolts: 17 }), 3],
		["a motor far too hot", (world) => world.set({ caseC: 105 }), 10],
		["a shut suction side", (world) => world.set({ pumpingKpa: 70 }), 60],
		["another tank brim-full", (world) => world.set({ levelTo: 1 }), 10],
		["no flow", (world) => world.set({ flowLph: 0 }), 60],
	])("%s", (_, happens, withinS) => {
		const world = polishing(slowest);
		world.pass(40);
		happens(world);
		world.passUntil(() => !world.pumpDemanded, withinS);
		const causes = world.of("trip").map(({ cause }) => cause);
		expect(causes.length).toBe(1);
		expect(causes[0]).not.toContain("interlock");
	});
});
