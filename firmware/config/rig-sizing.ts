// The rig file's `sizing` block: what `lees size` has to assume beyond the rig itself, and how sure
// each figure is. Imports zod only. Every default is common practice without a source; a measured
// figure in its place makes the answer better.

import * as z from "zod";

const between = (min: number, max: number, words: string) =>
	z.number().min(min).max(max).describe(words);

const percent = (words: string) => between(0, 80, `one standard deviation of ${words}, %`);

export const uncertaintySchema = z
	.strictObject({
		viscosityPct: percent("the fuel's viscosity").default(10),
		freeFlowPct: percent("the pump's free flow").default(5),
		deadHeadPct: percent("the pump's dead head").default(10),
		cleanRestrictionPct: percent("the clean element's restriction").default(20),
		dirtLoadPct: percent("the dirt load").default(50),
		dirtCapacityPct: percent("the dirt that the element holds").default(20),
		mixingFactorPct: percent("the mixing factor").default(25),
		batteryPct: percent("the battery's capacity").default(15),
		liftMm: between(0, 1_000, "one standard deviation of the lift, mm").default(30),
	})
	.prefault({});

export const sizingSchema = z
	.strictObject({
		coldC: between(-30, 45, "coldest fuel that the rig has to pump, °C").default(2),
		warmC: between(-20, 60, "warmest fuel that the rig has to pump, °C").default(25),
		fillPct: between(2, 100, "how full each tank is, % of its volume").default(60),
		dirtMgPerLitre: between(0.1, 10_000, "dirt in the fuel, mg/L").default(50),
		mixingFactor: between(0.3, 1, "share of each turnover that really mixes").default(0.6),
		settleDropMicron: between(10, 200, "water drops that settling is to take out, µm").default(50),
		altitudeM: between(-400, 5_000, "height above the sea, m").default(0),
		sessionHours: between(0.25, 72, "hours of a session by the clock, rests included").default(8),
		batteryVolts: between(9, 32, "battery's rest voltage during the session, V").optional(),
		airReleaseKpa: between(5, 90, "vacuum at which dissolved air comes out, kPa").default(30),
		hoseCollapseKpa: between(5, 100, "vacuum that the suction hose stands, kPa").default(80),
		uncertainty: uncertaintySchema,
	})
	.prefault({});
