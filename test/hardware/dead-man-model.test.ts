// The simulated rig's dead-man against the board's circuit in ngspice: the same values, the
// reservoir's volts after each edge, when K2 closes and when it lets go; nominal and at the corners
// of the parts that the model knows.

import { describe, expect, it } from "vitest";
import { DEAD_MAN, DeadMan, type DeadManParts } from "../../sim/dead-man.ts";
import { pins } from "../stories/world.ts";
import { beating, watch } from "./dead-man-bench.ts";
import { READY_S } from "./dead-man-corners.ts";
import {
	deadManParts,
	least,
	limits,
	most,
	nominal,
	nominalOf,
	type Values,
} from "./dead-man-parts.ts";

const { dropVolts } = deadManParts;
const EDGES = 40;
const PERIOD_S = 0.1;
const STEP_S = 0.002;
/** How far the model may be off the circuit. */
const VOLTS = 0.08;
const RELEASE_SHARE = 0.08;
/** One edge more or less. */
const CLOSES_S = PERIOD_S + 0.03;

/** The board's thresholds as shares of its own 5 V, by Kirchhoff's law at the divider. */
function thresholds(): { close: number; open: number } {
	const [a, b] = [1 / nominalOf("ra"), 1 / nominalOf("rb")];
	const up = 1 / (nominalOf("rh") + nominalOf("rup"));
	const down = 1 / nominalOf("rh");
	const vreg = nominalOf("vreg");
	return { close: (vreg * (a + up)) / (a + b + up), open: (vreg * a) / (a + b + down) };
}

describe("the model's values are those of the parts", () => {
	it("drive, capacitors, bleed and diode's drop", () => {
		const { driveVolts, c1Farad, c2Farad, bleedOhm, diodeVolts } = DEAD_MAN;
		expect([driveVolts, c1Farad, c2Farad, bleedOhm, diodeVolts]).toEqual([
			...["vreg", "c1a", "c2", "rbleed"].map(nominalOf),
			dropVolts.at27C,
		]);
	});

	it("thresholds, by the resistors that make them", () => {
		const { close, open } = thresholds();
		expect(Math.abs(DEAD_MAN.closeVolts - close)).toBeLessThan(0.01);
		expect(Math.abs(DEAD_MAN.openVolts - open)).toBeLessThan(0.01);
		expect(Math.abs(limits.closeVolts - close)).toBeLessThan(0.01);
	});

	it("the beat's only pull-down is the board's", () => {
		const channel = pins.channels["dead-man-beat"];
		expect(channel?.kind === "digital-out" ? channel.pullDownOhm : 0).toBe(nominalOf("rpull"));
	});
});

interface Course {
	readonly volts: readonly number[];
	readonly closesS: number;
	readonly releaseS: number;
}

function modelled(parts: DeadManParts): Course {
	const model = new DeadMan(parts);
	const volts: number[] = [];
	let closesS = Number.NaN;
	for (let edge = 0; edge < EDGES; edge += 1) {
		model.drive(edge % 2 === 0);
		if (model.holds && Number.isNaN(closesS)) closesS = edge * PERIOD_S;
		model.step(PERIOD_S - STEP_S);
		volts.push(model.reservoirVolts);
		model.step(STEP_S);
	}
	// The last edge is a period ago.
	let releaseS = PERIOD_S;
	for (; model.holds; releaseS += 0.001) model.step(0.001);
	return { volts, closesS, releaseS };
}

const FROM = [
	["27 °C", 27, dropVolts.at27C],
	["-10 °C", -10, dropVolts.atMinus10C],
	["60 °C", 60, dropVolts.at60C],
] as const;
const WITH = [
	["nominal parts", {}],
	["C1 large, C2 small", { ...most("c1a", "c1b"), ...least("c2") }],
	["C1 small, C2 large", { ...least("c1a", "c1b"), ...most("c2") }],
	["both small and the bleed too", least("c1a", "c1b", "c2", "rbleed")],
	["both large and the bleed too", most("c1a", "c1b", "c2", "rbleed")],
] as const;

describe.each(FROM)("the model against the circuit at %s", (_, celsius, diodeVolts) => {
	it.each(WITH)("with %s", (_, values) => {
		const all: Values = { ...nominal, ...values };
		const seconds = READY_S + EDGES * PERIOD_S + 2;
		const circuit = watch({
			beat: beating(READY_S, EDGES),
			seconds,
			values,
			celsius,
			stepS: STEP_S,
		});
		const model = modelled({
			...DEAD_MAN,
			diodeVolts,
			c1Farad: all.c1a ?? Number.NaN,
			c2Farad: all.c2 ?? Number.NaN,
			bleedOhm: all.rbleed ?? Number.NaN,
		});
		const off = model.volts.map((volts, edge) =>
			Math.abs(volts - circuit.reservoirAt(READY_S + (edge + 1) * PERIOD_S - STEP_S)),
		);
		expect(Math.max(...off)).toBeLessThan(VOLTS);
		const [closing, opening] = circuit.moves;
		expect(Math.abs((closing?.atS ?? Number.NaN) - READY_S - model.closesS)).toBeLessThan(CLOSES_S);
		const lastS = READY_S + (EDGES - 1) * PERIOD_S;
		const releaseS = (opening?.atS ?? Number.NaN) - lastS;
		expect(Math.abs(model.releaseS / releaseS - 1)).toBeLessThan(RELEASE_SHARE);
	});
});
