// The bench of the page without its page: what is done to it, what its controller answers, and the
// saved scenario that the bench of the command line plays to the same run.

import { describe, expect, it } from "vitest";
import { tripCodes } from "../../firmware/cycle/trips.ts";
import { benchWorld } from "../../host/report/bench-world.ts";
import { scenarioText } from "../../host/report/scenario-file.ts";
import { sceneOf, truthOf, worldOf } from "../../host/web/bench/bench-frame.ts";
import { BenchEngine } from "../../host/web/bench/engine.ts";
import type { BenchDeed } from "../../host/web/bench/world.ts";
import type { Answer } from "../../host/web/scene.ts";
import type { CrewAct } from "../../sim/bench/crew-schema.ts";
import { sumUp } from "../../sim/bench/judge.ts";
import { runScenario } from "../../sim/bench/runner.ts";
import { readScenario } from "../../sim/bench/scenario-reader.ts";
import type { RigModel } from "../../sim/rig.ts";
import { root } from "./world.ts";

const world = benchWorld(root);
const crew = (act: CrewAct): BenchDeed => ({ kind: "crew", act });
const port = { tank: "port", dipLitres: 180, sweepFirst: false, attended: false };
const POLISH: BenchDeed = { kind: "order", work: { polish: { ...port, litres: 20 } } };

class Bench {
	readonly engine: BenchEngine;
	readonly answers: Array<Answer | null> = [];

	constructor(name = "clean-polish") {
		const start = world.starts.find((one) => one.name === name);
		if (start === undefined) throw new Error(`no start is called ${name}`);
		this.engine = new BenchEngine(world, start);
	}

	do(...deeds: readonly BenchDeed[]): this {
		for (const deed of deeds) this.engine.do(deed, (answer) => this.answers.push(answer));
		return this;
	}

	seconds(s: number): this {
		for (let i = 0; i < 10 * s; i += 1) this.engine.tick();
		return this;
	}

	until(isSo: (doing: string) => boolean, secondsMax: number): this {
		for (let s = 0; !isSo(this.doing); s += 1) {
			if (s > secondsMax) throw new Error(`still ${this.doing} after ${secondsMax} s`);
			this.seconds(1);
		}
		return this;
	}

	get doing(): string {
		return this.engine.session.doing;
	}

	get scene() {
		return sceneOf(this.engine, "dead");
	}
}

/** Played by the command line's bench from the written file. */
function playedAgain({ engine }: Bench) {
	const scenario = engine.played({ title: "Saved", story: "By a test." });
	if (scenario === null) throw new Error("nothing to save");
	const text = scenarioText(scenario);
	const rig = world.rigs[engine.start.rigName];
	if (rig === undefined) throw new Error("no rig");
	const read = readScenario(text, "saved.bench.yaml", () => rig).scenario;
	let last: RigModel | undefined;
	const run = runScenario(read, rig, world.pins, {
		afterStep: (model) => {
			last = model;
		},
	});
	return { text, result: sumUp("saved", run, 0), model: last };
}

/** To the last bit: it is the same engine that plays it. */
function expectSame(bench: Bench) {
	const { result, model, text } = playedAgain(bench);
	const { engine } = bench;
	const seen = sumUp("saved", engine.session.end("model"), 0);
	expect(result.trips).toEqual(seen.trips);
	expect(result.truth).toEqual(seen.truth);
	expect(result.logged).toEqual(seen.logged);
	expect(result.simulatedSeconds).toBe(seen.simulatedSeconds);
	expect(result.expectations.filter(({ held }) => !held)).toEqual([]);
	expect(model?.elapsedS).toBe(engine.model.elapsedS);
	return { text, result };
}

describe("the bench of the page", () => {
	it("arms, takes an order, is given water, trips, is drained, acknowledged and finishes", () => {
		const bench = new Bench()
			.do(crew({ does: "arm" }))
			.seconds(10)
			.do(POLISH);
		bench.until((doing) => doing === "polishing", 60).seconds(60);
		expect(bench.answers.at(-1)).toEqual({ accepted: true, reasons: [] });
		bench.do(crew({ does: "pour-water", tank: "port", litres: 2 }));
		bench.until((doing) => doing === "tripped", 900);
		expect(worldOf(bench.engine).acting).toEqual(["water-in-bowl"]);
		expect(bench.scene.events.at(-1)?.isTrip).toBe(true);
		expect(truthOf(bench.engine).bowlWaterMl).toBeGreaterThan(100);
		// The rest of the water is drawn off by the next fills of the bowl.
		for (let i = 0; i < 40 && bench.doing === "tripped"; i += 1) {
			bench
				.do(crew({ does: "drain-bowl" }))
				.seconds(30)
				.do(crew({ does: "fill-bowl" }));
			bench
				.seconds(30)
				.do(crew({ does: "arm" }))
				.seconds(60);
			bench.until((doing) => doing !== "priming" && doing !== "polishing", 2_000);
		}
		expect(bench.scene.status?.trips).toEqual([]);
		const { result } = expectSame(bench);
		expect(result.trips.map(({ code }) => code)).toContain("water-in-bowl");
	});

	it("answers a refusal with its reasons, a stop, and nothing once its controller is dead", () => {
		const bench = new Bench().do(POLISH).seconds(5);
		expect(bench.answers.at(-1)?.accepted).toBe(false);
		expect(bench.answers.at(-1)?.reasons.join()).toContain("armed");
		bench.do(crew({ does: "stop-by-link" })).seconds(1);
		expect(bench.answers.at(-1)?.accepted).toBe(true);
		bench.do({ kind: "fault", fault: "controller-hangs" }, POLISH).seconds(5);
		expect(bench.answers.at(-1)).toBeNull();
		expect(bench.scene.link.isUp).toBe(false);
	});

	it("gives each deed a tick of its own, in the order in which they were done", () => {
		const bench = new Bench().seconds(2);
		const presses = Array.from({ length: 5 }, () => crew({ does: "press-acknowledge" }));
		bench.do(...presses, crew({ does: "press-stop" }), crew({ does: "release-stop" }));
		bench.seconds(3);
		const acts = bench.engine.session.crew.unscripted.crew;
		expect(acts.map(({ does }) => does).slice(-2)).toEqual(["press-stop", "release-stop"]);
		expect(new Set(acts.map(({ atSeconds }) => atSeconds)).size).toBe(7);
		expectSame(bench);
	});

	it("saves what broke and was mended, the weather and what people did, to the last bit", () => {
		const bench = new Bench("rolling-anchorage")
			.do(crew({ does: "arm" }))
			.seconds(8)
			.do(POLISH);
		bench.seconds(90).do({ kind: "weather", weather: { sea: { rollDeg: 12, periodS: 6 } } });
		bench.do({ kind: "weather", weather: { heelDeg: 3, airC: 4, fuelC: 6 } }).seconds(30);
		bench.do({ kind: "fault", fault: "air-leak", size: 2 }).seconds(40);
		bench.do({ kind: "fault", fault: "vacuum-noisy", size: 3 }).seconds(20);
		bench.do(crew({ does: "mend", fault: "vacuum-noisy" }), crew({ does: "mend" })).seconds(60);
		bench.do(crew({ does: "restart-controller" })).seconds(30);
		bench.do(crew({ does: "press-acknowledge" })).seconds(30);
		const { text } = expectSame(bench);
		expect(text).toContain("fault: air-leak, size: 2");
		expect(text).toContain("rig: teal-willow");
	});

	it("saves a rig that lay still for hours before something happened", () => {
		const bench = new Bench("weak-battery-and-sun").seconds(1_800);
		bench.do({ kind: "fault", fault: "siphon" }).seconds(600);
		expectSame(bench);
	});

	it("names only trips that there are", () => {
		for (const { hazard, trips } of world.hazards) {
			expect(tripCodes, hazard).toEqual(expect.arrayContaining([...trips]));
		}
		// What the page is given goes through JSON.
		expect(JSON.parse(JSON.stringify(world))).toEqual(world);
	});
});
