// Plays one seed of a campaign. First safety: faults strike while an order is under way, and the
// invariants must hold. Then liveness: all is mended, the crew does what each trip asks, and the
// order must finish. Same seed, same hours, same result to the last bit.

import type { PinMap } from "../../../firmware/config/pins.ts";
import type { Rig } from "../../../firmware/config/rig.ts";
import { type Controller, createController } from "../../../firmware/controller.ts";
import type { Fault, Invariant } from "../../faults.ts";
import { ModelBoard } from "../../model-board.ts";
import type { Acts } from "../crew.ts";
import { Watch } from "../invariants.ts";
import { people } from "../people.ts";
import { type BenchRun, rigAtStart, Session, TICK_MS } from "../session.ts";
import { CampaignCrew } from "./campaign-crew.ts";
import { drawStory, type Story } from "./story-draw.ts";

/** After a repair the order has so long to finish, s, beyond what it pumps and rests. */
const LIVE_S = 3 * 3_600;
/** The longest that faults are waited for, times what the order pumps. */
const PATIENCE = 3;
export const LIVENESS = "order finishes after repair";
const TICKS_A_SECOND = 1_000 / TICK_MS;

export interface Failure {
	readonly seed: number;
	readonly invariant: Invariant | typeof LIVENESS;
	readonly atSeconds: number;
}

export interface SeedRun {
	readonly story: Story;
	readonly run: BenchRun;
	/** Faults that struck while an order was under way, and when, s. */
	readonly struck: ReadonlyMap<Fault, number>;
	/** When the crew came, s. */
	readonly mendedS: number;
	/** What people did, and what of it up to the moment from which they see to the order's end. */
	readonly acts: Acts;
	readonly actsToMend: Acts;
	/** The latest that the order is waited for, s. */
	readonly lastS: number;
	readonly failures: readonly Failure[];
}

export interface SeedOptions {
	readonly hoursMax?: number;
	/** Another controller in place of the standard one, for tests. */
	readonly controller?: (rig: Rig, pins: PinMap) => Controller;
	/** Ends as soon as this one is broken, and at that time in any case, s. */
	readonly until?: { readonly invariant: Invariant; readonly latestS: number };
}

export function playSeed(seed: number, pins: PinMap, options: SeedOptions = {}): SeedRun {
	return playStory(drawStory(seed, options.hoursMax), pins, options);
}

export function playStory(story: Story, pins: PinMap, options: SeedOptions = {}): SeedRun {
	const { seed, rig, scenario } = story;
	const { until } = options;
	const controller = (options.controller ?? createController)(rig, pins);
	const model = rigAtStart(scenario, rig, seed);
	const board = new ModelBoard(model, pins, seed);
	const session = new Session(scenario, rig, pins, model, board, {
		controller,
		people: people(),
	});
	const watch = new Watch();
	const crew = new CampaignCrew(story, model, session);
	const phase = new SafetyPhase(story, session);
	let atS = 0;
	/** A second of the world. @returns whether nothing more is wanted */
	const second = (): boolean => {
		for (let tick = 0; tick < TICKS_A_SECOND; tick += 1) {
			session.tick();
			model.step(TICK_MS / 1000);
			watch.afterStep(model, session.doing);
			session.afterStep();
			if (until !== undefined && watch.hasSeen(until.invariant)) return true;
		}
		atS += 1;
		return until !== undefined && atS >= until.latestS;
	};
	let isOver = false;
	while (!isOver && !phase.isOver(atS)) {
		crew.attend(atS);
		isOver = second();
	}
	const mendedS = atS;
	const lastS = mendedS + LIVE_S + workS(story);
	if (!isOver) crew.mend();
	const actsToMend = copyOf(session.crew.unscripted);
	if (!isOver) crew.seesToIt();
	while (!isOver && (session.care ?? "at it") === "at it" && atS < lastS) isOver = second();
	const run = session.end("model");
	const failures: Failure[] = watch.violations(run).map((broken) => ({ seed, ...broken }));
	if (!isOver && session.care !== "finished") {
		failures.push({ seed, invariant: LIVENESS, atSeconds: atS });
	}
	const { struck } = phase;
	const acts = session.crew.unscripted;
	return { story, run, struck, mendedS, acts, actsToMend, lastS, failures };
}

const copyOf = ({ crew, orders, weather, faults }: Acts): Acts => ({
	crew: [...crew],
	orders: [...orders],
	weather: [...weather],
	faults: [...faults],
});

/** Pumping and rests of the whole order, twice over, s. */
function workS({ order, rig }: Story): number {
	const { runMinutesMax, restMinutes } = rig.pump;
	return 120 * (order.pumpMinutes * (1 + restMinutes / runMinutesMax) + 2 * order.standMinutes);
}

/** Ends when what was to strike has struck and nothing more comes of it, or nobody can wait. */
class SafetyPhase {
	readonly struck = new Map<Fault, number>();
	private readonly story: Story;
	private readonly session: Session;
	private stoppedS = 0;
	private lastS = 0;
	/** An order was under way a second ago: what strikes now may have ended it. */
	private wasUnderWay = false;

	constructor(story: Story, session: Session) {
		this.story = story;
		this.session = session;
	}

	isOver(atS: number): boolean {
		const { session, story } = this;
		const { happened } = session.crew;
		const { doing } = session;
		for (const { fault } of story.scenario.faults) {
			if (!happened.has(fault) || this.struck.has(fault)) continue;
			this.lastS = atS;
			if (this.wasUnderWay) this.struck.set(fault, happened.get(fault) ?? atS);
		}
		this.wasUnderWay = session.cycle.context.order !== null;
		const isWorking = doing !== "idle" && doing !== "tripped" && !session.isDead;
		this.stoppedS = isWorking || atS < START_S ? 0 : this.stoppedS + 1;
		if (this.stoppedS > story.comesAfterS) return true;
		const all = story.scenario.faults.every(({ fault }) => happened.has(fault));
		if (all && atS - this.lastS > story.lingersS) return true;
		return atS > START_S + PATIENCE * workS(story);
	}
}

/** Arming and order are given by then, s. */
const START_S = 20;
