// The bench in the page: the very controller, session and rig model of `lees bench`, tick by tick,
// with what somebody does to them. Each deed takes a tick of its own in which nothing else is due,
// so that a scenario with the same deeds at the same ticks plays to the same run. No clock, no DOM.

import type { PinMap } from "../../../firmware/config/pins.ts";
import type { Rig } from "../../../firmware/config/rig.ts";
import { createController } from "../../../firmware/controller.ts";
import { LastLook } from "../../../firmware/last-look.ts";
import type { ScenarioInput } from "../../../sim/bench/campaign/as-scenario.ts";
import { LASTS_MS_MAX, playedScenario } from "../../../sim/bench/played-scenario.ts";
import type { Scenario } from "../../../sim/bench/scenario.ts";
import { rigAtStart, Session, TICK_MS } from "../../../sim/bench/session.ts";
import { ModelBoard } from "../../../sim/model-board.ts";
import type { RigModel } from "../../../sim/rig.ts";
import { CALM, type SeaState } from "../../../sim/sea.ts";
import type { Answer } from "../scene.ts";
import { Answers, type Question } from "./answers.ts";
import { Curves } from "./curves.ts";
import type { BenchDeed, BenchWorld, Start } from "./world.ts";

/** While it stands still, a deed may take so many ticks to be answered. */
const SETTLE_TICKS_MAX = 60;
const SECOND_MS = 1_000;

interface Waiting {
	readonly deed: BenchDeed;
	readonly tell: (answer: Answer | null) => void;
}

const TAKEN: Answer = { accepted: true, reasons: [] };

export class BenchEngine {
	readonly rig: Rig;
	readonly start: Start;
	readonly model: RigModel;
	readonly session: Session;
	readonly look: LastLook;
	readonly curves = new Curves();
	/** As it was set last. */
	sea: SeaState;
	/** Ticks of the controller since it was last switched on. */
	ticks = 0;
	private readonly answers = new Answers();
	private deeds: Waiting[] = [];
	private readSeq = 0;

	constructor(world: Pick<BenchWorld, "rigs" | "pins">, start: Start) {
		const rig = world.rigs[start.rigName];
		if (rig === undefined) throw new Error(`no rig is called ${start.rigName}`);
		const pins: PinMap = world.pins;
		const scenario = emptyStory(start);
		this.rig = rig;
		this.start = start;
		this.sea = start.start.sea ?? CALM;
		this.model = rigAtStart(scenario, rig, start.seed);
		this.look = new LastLook(rig);
		const board = new ModelBoard(this.model, pins, start.seed);
		const controller = createController(rig, pins, this.look.stages);
		const options = { controller, forgets: true };
		this.session = new Session(scenario, rig, pins, this.model, board, options);
		this.readLog();
	}

	get nowMs(): number {
		return this.session.nowMs;
	}

	/** Deeds that wait for their tick. */
	get waiting(): number {
		return this.deeds.length;
	}

	/** @param tell is given the controller's answer, or null where none comes */
	do(deed: BenchDeed, tell: Waiting["tell"] = () => {}): void {
		this.deeds.push({ deed, tell });
	}

	tick(): void {
		const { session, model } = this;
		const [next] = this.deeds;
		if (next !== undefined && session.crew.isFree(session.nowMs)) {
			this.deeds = this.deeds.slice(1);
			this.apply(next);
		}
		session.tick();
		model.step(TICK_MS / 1_000);
		session.afterStep();
		this.ticks += 1;
		this.readLog();
		if (session.nowMs % SECOND_MS === 0) this.sample();
	}

	/** Goes on until all that was done has happened and is answered. */
	settle(): void {
		for (let i = 0; i < SETTLE_TICKS_MAX; i += 1) {
			if (this.deeds.length === 0 && !this.answers.areOpen) return;
			this.tick();
		}
	}

	/** The session so far as a scenario's file; null before its first tick or when it is too long. */
	played(words: { readonly title: string; readonly story: string }): ScenarioInput | null {
		const { session, start } = this;
		if (session.nowMs === 0 || session.nowMs > LASTS_MS_MAX) return null;
		const acts = session.crew.unscripted;
		return playedScenario({ run: session.end("model"), acts, rigFile: start.rigName, ...words });
	}

	private apply({ deed, tell }: Waiting): void {
		const { crew, nowMs, isDead } = this.session;
		const question = questionOf(deed);
		if (deed.kind === "weather") {
			this.sea = deed.weather.sea ?? this.sea;
			crew.addsWeather(deed.weather, nowMs);
		} else if (deed.kind === "fault") {
			const { fault, size } = deed;
			crew.addsFault(size === undefined ? { fault } : { fault, size }, nowMs);
		} else if (deed.kind === "order") crew.addsOrder(deed.work, nowMs);
		else crew.adds(deed.act, nowMs);
		if (question === null) tell(TAKEN);
		else if (isDead) tell(null);
		else this.answers.wait(question, tell);
	}

	private readLog(): void {
		const { log } = this.session;
		const lastSeq = log.at(-1)?.seq ?? 0;
		const isNews = lastSeq !== this.readSeq;
		const first = isNews ? log.findLastIndex(({ seq }) => seq <= this.readSeq) + 1 : log.length;
		const news = isNews ? log.slice(first) : [];
		this.readSeq = lastSeq;
		for (const record of news) {
			if (record.kind === "boot") this.ticks = 0;
			this.curves.follow(record);
		}
		this.answers.read(news);
	}

	private sample(): void {
		const { sensed } = this.look;
		if (sensed !== null && !this.session.isDead) this.curves.take(this.nowMs, sensed);
	}
}

/** Nothing happens in it but what is done. */
function emptyStory({ name, rigName, seed, start }: Start): Scenario {
	return {
		title: name,
		story: "",
		invented: true,
		rig: rigName,
		seed,
		start,
		orders: [],
		plans: [],
		crew: [],
		weather: [],
		faults: [],
		hoursMax: 200,
		expect: [{ outcome: "idle" }],
		nearly: [],
	};
}

function questionOf(deed: BenchDeed): Question | null {
	if (deed.kind === "order") return "order";
	if (deed.kind !== "crew") return null;
	if (deed.act.does === "stop-by-link") return "stop";
	return deed.act.does === "acknowledge-by-link" ? "acknowledge" : null;
}
