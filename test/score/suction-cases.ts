// Random rigs for the scores of the suction side: what the rig file says, what the rig really is,
// and the pump run on it through the real sensing. The draws are invented; how far the truth lies
// off the file stands beside each. Imports the simulator and the firmware's sense.

import { join } from "node:path";
import { uniformFloat64 } from "pure-rand/distribution/uniformFloat64";
import { xoroshiro128plus } from "pure-rand/generator/xoroshiro128plus";
import { ALL_OFF } from "../../firmware/board/port.ts";
import { readInputFile } from "../../firmware/config/input-file.ts";
import type { PinMap } from "../../firmware/config/pins.ts";
import { type Rig, readRig } from "../../firmware/config/rig.ts";
import { planSense, sense, senseAtBoot } from "../../firmware/sense/sense.ts";
import type { Sensed } from "../../firmware/sense/sensed.ts";
import { projectRoot } from "../../host/cli/root.ts";
import { loadPins } from "../../sim/bench/load.ts";
import { ModelBoard } from "../../sim/model-board.ts";
import { RigModel } from "../../sim/rig.ts";
import { ratedLiquid } from "../../sim/rig-parts.ts";
import { dirtKg, FUEL } from "../../sim/species.ts";
import { shareOut } from "./threads.ts";

const STEP_S = 0.1;
const FULL_SCALE_KPA = 250;
/** Wax that doubles the simulated element's resistance, kg (sim/filter.ts). */
const WAX_DOUBLES_KG = 0.02;

/** Read when the first case is drawn: only the built score stands where its files are found. */
const loaded = { example: null as Rig | null, pins: null as PinMap | null };

function exampleOf(): Rig {
	const file = join(projectRoot, "sim/bench/rigs/teal-willow.rig.yaml");
	loaded.example ??= readRig(readInputFile(file), file);
	return loaded.example;
}

function pinsOf(): PinMap {
	loaded.pins ??= loadPins(projectRoot);
	return loaded.pins;
}

/** Draws of one case, always the same for its seed. */
export class Draw {
	private readonly random;

	constructor(seed: number) {
		this.random = xoroshiro128plus(seed);
		// Neighbouring seeds begin alike.
		for (let i = 0; i < 8; i += 1) uniformFloat64(this.random);
	}

	even(min: number, max: number): number {
		return min + (max - min) * uniformFloat64(this.random);
	}

	/** Normal after Box and Muller (1958). */
	normal(mean: number, sd: number): number {
		const radius = Math.sqrt(-2 * Math.log(1 - uniformFloat64(this.random)));
		return mean + sd * radius * Math.cos(2 * Math.PI * uniformFloat64(this.random));
	}

	/** As far up as down in its logarithm. */
	spread(middle: number, sd: number): number {
		return middle * Math.exp(this.normal(0, sd));
	}

	oneOf<T>(all: readonly T[]): T {
		return all[Math.floor(this.even(0, all.length))] as T;
	}
}

/** The rig as its owner describes it. */
export function statedRig(draw: Draw, cloudPointC: number): Rig {
	const example = exampleOf();
	const cleanKpa = draw.even(2, 6);
	const kind = draw.oneOf(["vane", "diaphragm", "gear"] as const);
	const hasTap = draw.even(0, 1) < 0.3;
	const { grade: _, ...fuel } = example.fuel;
	return {
		...example,
		fuel: {
			...fuel,
			density15KgM3: draw.even(820, 845),
			viscosity40Mm2s: draw.even(2.1, 4),
			cloudPointC,
		},
		tube: { ...example.tube, boreMm: draw.even(8, 11) },
		hose: { ...example.hose, boreMm: draw.even(8, 12) },
		element: {
			...example.element,
			cleanKpa,
			changeAtKpa: cleanKpa + draw.even(8, 16),
			dirtToChangeGrams: draw.even(40, 150),
			dirtEfficiency: draw.even(0.75, 0.97),
		},
		pump: { ...example.pump, kind, freeFlowLph: draw.even(70, 130), deadHeadKpa: 160 },
		sensors: hasTap ? [...example.sensors, "bowl-tap"] : example.sensors,
	};
}

/**
 * The rig as it is, as far off its file as the file's own `sizing.uncertainty` says by default:
 * clean element and capacity by 20 %, viscosity and dead head by 10 %, free flow by 5 %, lift by
 * 30 mm; and hose and tube by 2.5 % of their bore.
 */
export function trueRig(draw: Draw, stated: Rig, cloudOffK: number): Rig {
	const { element, fuel, pump, tube, hose } = stated;
	const heightMm = tube.lengthMm + tube.clearanceMm;
	const cleanKpa = element.cleanKpa * (1 + 0.2 * Math.max(-2, Math.min(2, draw.normal(0, 1))));
	return {
		...stated,
		fuel: {
			...fuel,
			viscosity40Mm2s: draw.spread(fuel.viscosity40Mm2s ?? 2.7, 0.1),
			cloudPointC: (fuel.cloudPointC ?? 0) + cloudOffK,
		},
		element: {
			...element,
			cleanKpa,
			dirtToChangeGrams: draw.spread(element.dirtToChangeGrams, 0.2),
		},
		tube: { ...tube, boreMm: draw.spread(tube.boreMm, 0.025) },
		hose: { ...hose, boreMm: draw.spread(hose.boreMm, 0.025) },
		pump: {
			...pump,
			freeFlowLph: draw.spread(pump.freeFlowLph, 0.05),
			deadHeadKpa: draw.spread(pump.deadHeadKpa ?? 160, 0.1),
			heightMm: draw.normal(pump.heightMm ?? heightMm, 30),
		},
	};
}

export interface CaseStart {
	readonly seed: number;
	readonly fuelLitres: number;
	readonly dirtGrams: number;
	readonly sludgeGrams: number;
	readonly fuelC: number;
	readonly airC: number;
	readonly rollDeg: number;
	/** Zero of the gauges, kPa. */
	readonly zeroKpa: number;
	readonly tapZeroKpa: number;
	readonly meterErrorPct: number;
	/** A real element's resistance grows with the mass to this power. */
	readonly bend: number;
}

/** Sets the start of a case but for its dirt and its warmth. */
export function startOf(
	draw: Draw,
	seed: number,
	rest: Pick<CaseStart, "dirtGrams" | "fuelC" | "airC">,
): CaseStart {
	return {
		seed,
		fuelLitres: draw.even(80, 280),
		sludgeGrams: draw.even(0, 60),
		rollDeg: draw.oneOf([0, 0, 2, 5]),
		zeroKpa: draw.normal(0, 0.7),
		tapZeroKpa: draw.normal(0, 0.7),
		meterErrorPct: draw.normal(0, 1),
		bend: draw.even(0.9, 1.3),
		...rest,
	};
}

/** A maker's figures hold in the fuel and at the flow that he names, not in what is aboard. */
function inStatedFuel(stated: Rig, actual: Rig): Rig {
	const { element } = actual;
	const thicker = ratedLiquid(actual).dynamicPas / ratedLiquid(stated).dynamicPas;
	const faster = actual.pump.freeFlowLph / stated.pump.freeFlowLph;
	return {
		...actual,
		element: {
			...element,
			cleanKpa: element.cleanKpa * thicker * faster,
			changeAtKpa: element.changeAtKpa * thicker * faster,
		},
	};
}

export interface Truth {
	/** Drop over the element at free flow in the stated fuel of 15 °C, kPa. */
	readonly referredKpa: number;
	/** Of it, what is over the clean element by dirt alone, and what wax adds. */
	readonly dirtKpa: number;
	readonly waxKpa: number;
	readonly dirtGrams: number;
}

/** One rig that pumps from its tank back into it, with the firmware's sense looking on. */
export class SuctionCase {
	readonly model: RigModel;
	sensed: Sensed | null = null;
	nowMs = 0;
	private readonly board: ModelBoard;
	private readonly actual: Rig;
	private readonly plan;
	private readonly bend: number;
	private state = senseAtBoot(0);
	private beat = false;

	constructor(stated: Rig, actual: Rig, start: CaseStart) {
		this.actual = actual;
		this.bend = start.bend;
		const pins = pinsOf();
		this.plan = planSense(stated, pins);
		this.model = new RigModel(inStatedFuel(stated, actual), {
			tanks: new Map([
				[
					"port",
					{
						fuelLitres: start.fuelLitres,
						freeWaterLitres: 0,
						dispersedWaterPpm: 20,
						dirtGrams: start.dirtGrams,
						sludgeGrams: start.sludgeGrams,
					},
				],
			]),
			tubeTank: "port",
			returnTank: "port",
			airC: start.airC,
			fuelC: start.fuelC,
			batteryVolts: 12.8,
			chargerAmps: 5,
			waterOhm: 20_000,
			meterErrorPct: start.meterErrorPct,
			sea: { rollDeg: start.rollDeg, periodS: 6 },
			seed: start.seed,
		});
		// The transducer's voltage falls as vacuum grows.
		this.model.breaks("vacuum-drifts", (-100 * start.zeroKpa) / FULL_SCALE_KPA);
		if (actual.sensors.includes("bowl-tap")) {
			this.model.breaks("bowl-tap-drifts", (-100 * start.tapZeroKpa) / FULL_SCALE_KPA);
		}
		this.board = new ModelBoard(this.model, pins, start.seed);
	}

	/** A second of pumping. */
	second(): void {
		this.model.path.element.plugging = this.bent();
		for (let i = 0; i < 5; i += 1) {
			this.step();
			this.step();
			this.look();
		}
	}

	private step(): void {
		const { model } = this;
		this.beat = !this.beat;
		model.drive({
			...ALL_OFF,
			"pump-demand": true,
			"dead-man-beat": this.beat,
			"probe-plus": this.state.probe.plus,
			"probe-minus": !this.state.probe.plus,
		});
		model.step(STEP_S);
	}

	/** Every other step is enough for what changes over minutes. */
	private look(): void {
		const { board } = this;
		this.nowMs += 200;
		const { state, sensed } = sense(this.plan, this.state, board.read(this.nowMs), {
			nowMs: this.nowMs,
			elapsedMs: 200,
			motorOn: true,
			polishing: this.nowMs > 20_000,
			run: "case",
			tank: "port",
			sameTank: true,
			toTank: undefined,
		});
		this.state = state;
		this.sensed = sensed;
	}

	/** What a bent law makes of the model's straight one. */
	private bent(): number {
		const { cleanKpa, changeAtKpa, dirtToChangeGrams } = this.actual.element;
		const load = (1e3 * dirtKg(this.model.path.element.holds)) / dirtToChangeGrams;
		const range = changeAtKpa - cleanKpa;
		return (cleanKpa + range * load ** this.bend) / (cleanKpa + range * load);
	}

	get truth(): Truth {
		const { holds } = this.model.path.element;
		const { cleanKpa, changeAtKpa, dirtToChangeGrams } = this.actual.element;
		const dirtGrams = 1e3 * dirtKg(holds);
		const load = dirtGrams / dirtToChangeGrams;
		const dirtKpa = (changeAtKpa - cleanKpa) * load ** this.bend;
		const waxKpa = ((cleanKpa + dirtKpa) * (holds[FUEL] as number)) / WAX_DOUBLES_KG;
		return { referredKpa: cleanKpa + dirtKpa + waxKpa, dirtKpa, waxKpa, dirtGrams };
	}

	/** Tank's litres as the level says. */
	get tankLitres(): number {
		const level = this.sensed?.levelFrom;
		return typeof level === "number" ? level * 310 : 155;
	}
}

/** What decides of the scores that are measured on these cases. */
export const SUCTION_SOURCES = [
	"firmware/sense/restriction.ts",
	"firmware/sense/suction-side.ts",
	"firmware/sense/long-watch.ts",
	"firmware/sense/fuel.ts",
	"sim/filter.ts",
	"sim/fuel-path.ts",
	"test/score/suction-cases.ts",
] as const;

/** Cases that one job of a thread plays. */
export const CASES_A_JOB = 25;

/** All cases from a seed on that said something, played by the threads of a score's module. */
export async function casesFrom<Case>(
	module: string,
	seed: number,
	cases: number,
): Promise<Case[]> {
	const jobs = Array.from({ length: cases / CASES_A_JOB }, (_, i) => seed + i * CASES_A_JOB);
	const all = await shareOut<number, Array<Case | null>>(module, jobs);
	return all.flat().filter((one) => one !== null);
}

export const percent = (part: number, all: number) => Math.round((1000 * part) / all) / 10;
