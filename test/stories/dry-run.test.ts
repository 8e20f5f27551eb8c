// Stories of the sequential test for dry run, told to it directly: what flow, current and vacuum
// say together and alone, what is forgiven, and what makes an order wait.

import { describe, expect, it } from "vitest";
import {
	type DryReadings,
	type DryRun,
	followDryRun,
	isTooLow,
	NO_DRY_RUN,
	planDryRun,
} from "../../firmware/sense/dry-run.ts";
import { exampleRig } from "./world.ts";

type Rig = ReturnType<typeof exampleRig>;
type Says = Partial<Pick<DryReadings, "motorAmps" | "vacuumKpa">> & { readonly lph: number };

/** The example rig's on fuel and on air, as the rig model has them. */
const FUEL: Says = { lph: 90, motorAmps: 1.67, vacuumKpa: 14 };
const AIR: Says = { lph: 4.5, motorAmps: 1.44, vacuumKpa: 4 };

const turbine = (): Rig => {
	const rig = exampleRig();
	return { ...rig, meter: { ...rig.meter, kind: "turbine" } };
};
const pulsePump = (rig: Rig): Rig => ({ ...rig, pump: { ...rig.pump, kind: "solenoid-pulse" } });

class Told {
	state: DryRun = NO_DRY_RUN;
	nowMs = 0;
	run: string | null = "one";
	private readonly rig: Rig;
	private counted = 0;
	private given = 0;

	constructor(rig: Rig = exampleRig()) {
		this.rig = rig;
	}

	/** Says it every 100 ms. @returns seconds until the limit was reached or the order is to wait */
	say(seconds: number, { lph, motorAmps = "not-fitted", vacuumKpa = "not-fitted" }: Says): number {
		const { meter, setpoints } = this.rig;
		const plan = planDryRun(this.rig);
		for (let tick = 1; tick <= Math.round(seconds * 10); tick += 1) {
			this.nowMs += 100;
			this.given += (lph * meter.pulsesPerLitre) / 36_000;
			const pulses = Math.floor(this.given) - this.counted;
			this.counted += pulses;
			const readings = { flowLph: lph, motorAmps, vacuumKpa, pulses, motorMs: 100, dryMs: 0 };
			this.state = followDryRun(this.state, plan, readings, this.moment(true));
			if (this.state.airMs >= setpoints.dryRunDelayMs || isTooLow(this.state)) return tick / 10;
		}
		return Number.POSITIVE_INFINITY;
	}

	/** The pump is off. */
	rest(seconds: number): void {
		this.nowMs += seconds * 1000;
		const readings = { flowLph: 0, motorAmps: 0, vacuumKpa: 9, pulses: 0, motorMs: 0, dryMs: 0 };
		this.state = followDryRun(this.state, planDryRun(this.rig), readings, this.moment(false));
	}

	private moment(motorOn: boolean) {
		const { nowMs, run } = this;
		const rest = { elapsedMs: 100, run, tank: "port", sameTank: true, toTank: undefined };
		return { ...rest, nowMs, motorOn, polishing: motorOn };
	}
}

const never = Number.POSITIVE_INFINITY;
const without = (says: Says, ...names: Array<"motorAmps" | "vacuumKpa">): Says => ({
	...says,
	...(names.includes("motorAmps") ? { motorAmps: "not-fitted" } : {}),
	...(names.includes("vacuumKpa") ? { vacuumKpa: "not-fitted" } : {}),
});

describe("air after two minutes of fuel", () => {
	it.each([
		{ what: "with every sensor", rig: exampleRig(), lacks: [] },
		{ what: "without the gauge", rig: exampleRig(), lacks: ["vacuumKpa"] },
		{ what: "by the meter alone", rig: exampleRig(), lacks: ["vacuumKpa", "motorAmps"] },
		{ what: "with a pulse pump", rig: pulsePump(exampleRig()), lacks: [] },
	] as const)("$what: on air it stops within 6 s, not within 1 s", ({ rig, lacks }) => {
		const told = new Told(rig);
		expect(told.say(120, without(FUEL, ...lacks))).toBe(never);
		const stopped = told.say(30, without(AIR, ...lacks));
		expect(stopped).toBeGreaterThan(1);
		expect(stopped).toBeLessThanOrEqual(6);
	});

	it("that turns a turbine at four tenths is no fuel", () => {
		const onAir = { ...AIR, lph: 36 };
		for (const rig of [turbine(), pulsePump(turbine())]) {
			const told = new Told(rig);
			expect(told.say(120, FUEL)).toBe(never);
			expect(told.say(30, onAir)).toBeLessThanOrEqual(6);
		}
	});

	it("is found where a turbine has had no time to learn what fuel gives", () => {
		const onAir = { ...AIR, lph: 36 };
		const told = new Told(turbine());
		// The last of the prime's air is in it: just enough to prove fuel.
		expect(told.say(2, { ...FUEL, lph: 50 })).toBe(never);
		expect(told.say(60, without(onAir, "vacuumKpa", "motorAmps"))).toBeLessThanOrEqual(7);
	});

	it("is none while fuel flows, whatever current and vacuum say", () => {
		const told = new Told();
		expect(told.say(120, FUEL)).toBe(never);
		expect(told.say(300, { ...AIR, lph: 90 })).toBe(never);
	});

	it("is taken for one where the meter stands and all else is as on fuel, but later", () => {
		const told = new Told();
		told.say(120, FUEL);
		const stopped = told.say(30, { ...FUEL, lph: 0 });
		expect(stopped).toBeGreaterThan(3);
		expect(stopped).toBeLessThanOrEqual(6);
	});

	it("is looked at anew after a pause", () => {
		const told = new Told();
		told.say(120, FUEL);
		told.say(1.5, AIR);
		expect(told.state.airMs).toBeGreaterThan(500);
		told.rest(5);
		expect(told.state).toEqual(NO_DRY_RUN);
	});
});

describe("gulps", () => {
	it("of 1.5 s every 12 s are forgiven for an hour", () => {
		const told = new Told();
		told.say(60, FUEL);
		for (let n = 0; n < 300; n += 1) {
			expect(told.say(1.5, AIR)).toBe(never);
			expect(told.say(10.5, FUEL)).toBe(never);
		}
	});

	it("of 2 s every 6 s make the order wait within a minute, and are no trip", () => {
		const told = new Told();
		told.say(60, FUEL);
		const beganMs = told.nowMs;
		while (!isTooLow(told.state) && told.nowMs - beganMs < 120_000) {
			if (told.say(2, AIR) === never) told.say(4, FUEL);
		}
		expect(isTooLow(told.state)).toBe(true);
		expect(told.nowMs - beganMs).toBeLessThanOrEqual(60_000);
		expect(told.state.airMs).toBe(0);
	});

	const waiting = () => {
		const told = new Told();
		told.say(60, FUEL);
		for (let n = 0; n < 20 && !isTooLow(told.state); n += 1) {
			if (told.say(2, AIR) === never) told.say(4, FUEL);
		}
		told.rest(1);
		expect(isTooLow(told.state)).toBe(true);
		return told;
	};

	it("are waited out for three quarters of an hour", () => {
		const told = waiting();
		told.rest(44 * 60);
		expect(isTooLow(told.state)).toBe(true);
		told.rest(60);
		expect(told.state).toEqual(NO_DRY_RUN);
	});

	it("keep no other order waiting", () => {
		const told = waiting();
		told.run = null;
		told.rest(1);
		expect(isTooLow(told.state)).toBe(false);
	});
});

describe("a leak that leaves some fuel", () => {
	it("of half the flow is found within a minute, and not as a sea", () => {
		const told = new Told();
		told.say(120, FUEL);
		const stopped = told.say(120, { lph: 40, motorAmps: 1.55, vacuumKpa: 10 });
		expect(stopped).toBeGreaterThan(30);
		expect(stopped).toBeLessThanOrEqual(60);
		expect(isTooLow(told.state)).toBe(false);
	});
});

it("the state is plain JSON", () => {
	const [told, restored] = [new Told(), new Told()];
	for (const one of [told, restored]) one.say(61.5, FUEL);
	restored.state = JSON.parse(JSON.stringify(restored.state));
	for (const one of [told, restored]) one.say(1.2, AIR);
	expect(restored.state).toEqual(told.state);
});
