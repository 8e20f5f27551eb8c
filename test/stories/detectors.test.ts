// Stories of the detectors, one row each: a fact comes and the right trip follows within its time,
// from the states in which it may; a little less of it, or a little shorter, does not. And what is
// still there is not acknowledged.

import { describe, expect, it } from "vitest";
import type { TripCode } from "../../firmware/cycle/trips.ts";
import { codes, exampleRig, polishing, World } from "./world.ts";

const far = { litres: 5_000 };

type Happens = (world: World) => void;
type State = "idle" | "priming" | "polishing" | "resting" | "held" | "tripped";

/** A world in that state, by the way that leads there. */
function inState(name: State): World {
	const world = new World(
		exampleRig((text) => text.replace("runMinutesMax: 40", "runMinutesMax: 2")),
	);
	world.pass(10);
	if (name === "idle") return world;
	world.polish(far);
	if (name === "tripped") {
		world.passUntil(() => world.name === "polishing", 60);
		world.set({ flowLph: 0 });
	}
	if (name === "held") world.set({ fuelC: 0 });
	world.passUntil(() => world.name === name, 300);
	return world;
}

const atWork: readonly State[] = ["priming", "polishing", "resting", "held"];
const always: readonly State[] = ["idle", ...atWork, "tripped"];

interface Row {
	readonly what: string;
	readonly happens: Happens;
	readonly withinS: number;
	readonly code: TripCode;
	readonly from: readonly State[];
	/** It is gone, so that the acknowledgement is taken again after `goneS`. */
	readonly ends: Happens;
	readonly goneS: number;
	/** Why it is not acknowledged while it is there; none where nothing can tell. */
	readonly still?: string;
}

const rows: readonly Row[] = [
	{
		what: "the tray wet",
		happens: (world) => world.set({ trayWet: true }),
		withinS: 0.4,
		code: "leak",
		from: always,
		ends: (world) => world.set({ trayWet: false }),
		goneS: 5.2,
		still: "the tray is not dry",
	},
	{
		what: "the beat's pin in another mode",
		happens: (world) => world.set({ beatIsPlain: false }),
		withinS: 0.1,
		code: "beat-forged",
		from: always,
		ends: (world) => world.set({ beatIsPlain: true }),
		goneS: 2.2,
		still: "the beat's pin is not a plain output",
	},
	{
		what: "the return unlocked",
		happens: (world) => world.set({ returnOut: true }),
		withinS: 0.4,
		code: "return-out",
		from: atWork,
		ends: (world) => world.set({ returnOut: false }),
		goneS: 0.7,
		still: "the return's switch is open",
	},
	{
		what: "the tube off its filler",
		happens: (world) => world.set({ tubeOut: true }),
		withinS: 0.4,
		code: "tube-out",
		from: atWork,
		ends: (world) => world.set({ tubeOut: false }),
		goneS: 0.7,
		still: "the tube's switch is open",
	},
	{
		what: "the pressure switch open",
		happens: (world) => world.set({ pressureHigh: true }),
		withinS: 0.4,
		code: "discharge-blocked",
		from: atWork,
		ends: (world) => world.set({ pressureHigh: false }),
		goneS: 2.2,
		still: "the pressure switch is still open",
	},
	{
		what: "the supply gone",
		happens: (world) => world.set({ supplyVolts: 0 }),
		withinS: 0.6,
		code: "supply-low",
		from: atWork,
		ends: (world) => world.set({ supplyVolts: 12.6 }),
		goneS: 5.2,
	},
	{
		what: "10.7 V under load",
		happens: (world) => world.set({ supplyVolts: 10.7 }),
		withinS: 3.1,
		code: "supply-low",
		from: atWork,
		ends: (world) => world.set({ supplyVolts: 12.6 }),
		goneS: 5.2,
		still: "the voltage is still too low",
	},
	{
		what: "15.3 V",
		happens: (world) => world.set({ supplyVolts: 15.3 }),
		withinS: 1.1,
		code: "supply-high",
		from: atWork,
		ends: (world) => world.set({ supplyVolts: 12.6 }),
		goneS: 5.2,
		still: "the voltage is still too high",
	},
	{
		what: "the motor's case at 87 °C",
		happens: (world) => world.set({ caseC: 87 }),
		// What changes slowly is read twice a second, and one jump is not believed.
		withinS: 6.2,
		code: "motor-hot",
		from: atWork,
		ends: (world) => world.set({ caseC: 60 }),
		goneS: 5.2,
		still: "the case has not cooled yet",
	},
	{
		what: "more current than the motor should draw",
		happens: (world) => world.set({ motorAmps: 3 }),
		withinS: 1.1,
		code: "overcurrent",
		from: ["polishing"],
		ends: (world) => world.set({ motorAmps: 1.7 }),
		goneS: 0.1,
	},
	{
		what: "no current although it is switched on",
		happens: (world) => world.set({ motorAmps: 0.1 }),
		withinS: 1.6,
		code: "no-current",
		from: ["polishing"],
		ends: (world) => world.set({ motorAmps: 1.7 }),
		goneS: 0.1,
	},
	{
		what: "a meter that counts more than the pump can give",
		happens: (world) => world.set({ flowLph: 190 }),
		withinS: 7,
		code: "sensor-fault",
		from: ["polishing"],
		ends: (world) => world.set({ flowLph: 95 }),
		goneS: 6,
	},
];

describe.each(rows)("$what", ({ happens, withinS, code, from, ends, goneS, still }) => {
	it.each(from)(`trips ${code} in time from %s`, (name) => {
		const world = inState(name);
		const before = codes(world);
		happens(world);
		world.passUntil(() => codes(world).length > before.length, withinS);
		expect(codes(world)).toEqual([...before, code]);
		expect(world.name).toBe("tripped");
		expect(world.pumpDemanded).toBe(false);
	});

	// While priming, the motor turns now and then: that is left to the rows that name it.
	const elsewhere = always.filter((name) => name !== "priming" && !from.includes(name));
	it.each(elsewhere)("does not trip from %s", (name) => {
		const world = inState(name);
		const before = codes(world);
		happens(world);
		world.pass(withinS + 1);
		expect(codes(world)).toEqual(before);
	});

	it("is not acknowledged while it is there, and is when it has been gone for its time", () => {
		const world = inState("polishing");
		happens(world);
		world.pass(withinS + 1);
		if (still !== undefined) {
			world.pressAcknowledge();
			expect(world.of("acknowledge-refused").at(-1)?.reasons).toContain(`${code}: ${still}`);
			expect(world.name).toBe("tripped");
		}
		ends(world);
		world.pass(goneS);
		world.pressAcknowledge();
		expect(world.name).not.toBe("tripped");
	});
});

interface Near {
	readonly what: string;
	readonly happens: Happens;
	readonly forS: number;
}

/** As if nothing had been. */
const well: Happens = (world) =>
	world.set({
		trayWet: false,
		returnOut: false,
		tubeOut: false,
		pressureHigh: false,
		supplyVolts: 12.6,
		motorAmps: 1.7,
		caseC: 30,
		flowLph: 95,
		pumpingKpa: 14,
	});

const nearly: readonly Near[] = [
	{ what: "a splash in the tray", happens: (w) => w.set({ trayWet: true }), forS: 0.2 },
	{ what: "a bounce of the return's", happens: (w) => w.set({ returnOut: true }), forS: 0.2 },
	{ what: "a bounce of the tube's", happens: (w) => w.set({ tubeOut: true }), forS: 0.2 },
	{ what: "a stroke's pressure", happens: (w) => w.set({ pressureHigh: true }), forS: 0.2 },
	{ what: "a supply gone briefly", happens: (w) => w.set({ supplyVolts: 0 }), forS: 0.4 },
	{ what: "10.9 V for a while", happens: (w) => w.set({ supplyVolts: 10.9 }), forS: 25 },
	{ what: "10.7 V for a moment", happens: (w) => w.set({ supplyVolts: 10.7 }), forS: 2.8 },
	{ what: "15.1 V", happens: (w) => w.set({ supplyVolts: 15.1 }), forS: 60 },
	{ what: "15.3 V for a moment", happens: (w) => w.set({ supplyVolts: 15.3 }), forS: 0.9 },
	{ what: "a case at 69 °C", happens: (w) => w.set({ caseC: 69 }), forS: 60 },
	{ what: "87 °C for a moment", happens: (w) => w.set({ caseC: 87 }), forS: 4.8 },
	{ what: "2.8 A", happens: (w) => w.set({ motorAmps: 2.8 }), forS: 60 },
	{ what: "3 A for a moment", happens: (w) => w.set({ motorAmps: 3 }), forS: 0.9 },
	{ what: "0.3 A", happens: (w) => w.set({ motorAmps: 0.3 }), forS: 60 },
	{ what: "0.1 A for a moment", happens: (w) => w.set({ motorAmps: 0.1 }), forS: 1.4 },
	{ what: "140 L/h", happens: (w) => w.set({ flowLph: 140 }), forS: 60 },
	{ what: "190 L/h for a moment", happens: (w) => w.set({ flowLph: 190 }), forS: 3 },
];

it.each(nearly)("$what for $forS s does not trip", ({ happens, forS }) => {
	const world = polishing();
	happens(world);
	world.pass(forS);
	well(world);
	world.pass(10);
	expect(codes(world)).toEqual([]);
	expect(world.name).toBe("polishing");
});

it("the inrush of each start is not taken for a seized motor", () => {
	const world = new World();
	world.pass(1);
	world.polish();
	world.set({ motorAmps: 9 });
	world.passUntil(() => world.state.motorOn, 60);
	// A starting motor's current is over within half a second (common practice, no source).
	world.pass(0.5);
	world.set({ motorAmps: 1.7 });
	world.passUntil(() => world.name === "polishing", 60);
	expect(codes(world)).toEqual([]);
});

describe("an order is refused, attended or not, while", () => {
	it.each<[string, Happens, string]>([
		["the tray is wet", (w) => w.set({ trayWet: true }), "the tray is not dry"],
		["the return is out", (w) => w.set({ returnOut: true }), "the return is not locked"],
		["the tube is off", (w) => w.set({ tubeOut: true }), "the tube's head is not seated"],
		["the pressure is on", (w) => w.set({ pressureHigh: true }), "the pressure switch is open"],
		["there is no supply", (w) => w.set({ supplyVolts: 0 }), "no voltage at the pump"],
		["it is 10.7 V", (w) => w.set({ supplyVolts: 10.7 }), "the supply's voltage is too low"],
		["it is 15.3 V", (w) => w.set({ supplyVolts: 15.3 }), "the supply's voltage is too high"],
		["the case is hot", (w) => w.set({ caseC: 87 }), "the motor's case is still hot"],
		["a current flows", (w) => w.set({ strayAmps: 1 }), "current flows in the motor's line"],
		["the tanks are two", (w) => w.set({ levelTo: 0.7 }), "the levels under tube and return"],
	])("%s", (_, happens, words) => {
		for (const attended of [true, false]) {
			const world = new World();
			happens(world);
			world.pass(12);
			world.polish({ attended });
			world.pass(1);
			const reasons = world.of("order-refused").flatMap((refusal) => refusal.reasons);
			expect(reasons.filter((reason) => reason.startsWith(words))).not.toEqual([]);
		}
	});
});

describe("a channel that a rig may lack and that says nothing", () => {
	const optional = new World().rig.sensors;

	it.each(optional)("%s stops an order that nobody attends", (name) => {
		const world = polishing();
		world.facts.silent.add(name);
		// A second without a word, and half of one where it is read twice a second only.
		world.passUntil(() => world.name === "tripped", 1.7);
		expect(codes(world)).toEqual(["sensor-fault"]);
		expect(world.of("trip")[0]?.cause).toBe(`${name} reads not-fitted`);
		world.pressAcknowledge();
		expect(world.name).toBe("tripped");
	});

	it.each(optional)("%s does not stop one that somebody attends", (name) => {
		const world = new World();
		world.facts.silent.add(name);
		world.pass(3);
		world.polish({ attended: true, ...far });
		world.passUntil(() => world.name === "polishing", 60);
		world.pass(60);
		expect(world.name).toBe("polishing");
	});

	it("volts are such a channel too, motor current is not", () => {
		const attended = (name: string) => {
			const world = new World();
			world.pass(1);
			world.polish({ attended: true });
			world.passUntil(() => world.name === "polishing", 60);
			world.facts.silent.add(name);
			world.pass(5);
			return world.name;
		};
		expect(attended("supply-volts")).toBe("polishing");
		expect(attended("motor-current")).toBe("tripped");
	});
});
