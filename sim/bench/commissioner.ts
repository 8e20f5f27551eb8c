// A careful person who proves the rig: begins each step of commissioning that is due, does at the
// rig what it asks, orders the attended polishes, types what the instruments show, acknowledges the
// trips, and goes on until nothing is due or one step has failed three times. Sees the box, the
// link's answers and the instruments; acts through the crew, so that each act is known by its time.

import type { ProofNow } from "../../firmware/commission/schemas.ts";
import { type Step, stepRows } from "../../firmware/commission/step-rows.ts";
import type { TripCode } from "../../firmware/cycle/trips.ts";
import type { LogRecord } from "../../firmware/log/record.ts";
import type { RigModel } from "../rig.ts";
import type { CrewAction } from "./crew-schema.ts";
import { PersonsAnswers, type Typed } from "./persons-answers.ts";
import { Remedies } from "./remedies.ts";
import type { Session } from "./session.ts";
import { lookActs, lookedAt, stepActs } from "./step-acts.ts";

/** Between two acts, and after one that the controller has to answer, ms. */
const PACE_MS = 500;
const ANSWER_MS = 1_000;
/** So far into a polish something is done to it, ms. */
const INTO_MS = 2_000;
/** A plug that was pulled goes back after so long, ms. */
const PLUG_MS = 10_000;
/** Nothing comes of what is asked for: the step is given up after so long, ms. */
const STUCK_MS = 45_000;
/** An order that goes on without a step is stopped after so long, ms. */
const ALONE_MS = 20_000;
/** A case that was warm has come to the thermometer's temperature by then, ms. */
const COOLS_MS = 200_000;
/** After the isolator the supply is believed again by then, ms. */
const SWITCHED_MS = 5_000;
/** Nothing comes of an order that has tripped, ms. */
const FORLORN_MS = 5_000;
const TRIES = 3;

type Trial = NonNullable<ProofNow["trial"]>;

/** How somebody at the rig differs from a careful one, for tests. */
export interface Person {
	/** Types this instead of what the instruments show. */
	readonly types?: Typed;
	/** Does not do these. */
	readonly omits?: readonly CrewAction[];
	/** Gives up when a step has failed so often; left out: three times. */
	readonly tries?: number;
}

export class Commissioner {
	private readonly model: RigModel;
	private readonly session: Session;
	private readonly remedies: Remedies;
	private readonly answers: PersonsAnswers;
	private readonly omits: readonly CrewAction[];
	private readonly tries: number;
	private readonly failures = new Map<Step, number>();
	private tasks: Array<() => void> = [];
	private dueMs = 0;
	/** The step that was begun last, until what it moved is back in its place. */
	private step: Step | null = null;
	/** Trips that it causes on purpose. */
	private caused: readonly TripCode[] = [];
	private isPrepared = false;
	/** When its act at the running pump was done; null while it was not. */
	private actedMs: number | null = null;
	private isBack = false;
	/** Since when the same is asked for. */
	private asked = { what: "", sinceMs: 0 };
	/** Answers that were not taken. */
	private refusals = 0;
	private trippedSinceMs: number | null = null;
	private aloneSinceMs: number | null = null;
	private pumpsSinceMs: number | null = null;
	private readSeq: number;

	constructor(model: RigModel, session: Session, seed: number, person: Person) {
		this.model = model;
		this.session = session;
		this.answers = new PersonsAnswers(model, seed, person.types);
		this.omits = person.omits ?? [];
		this.tries = person.tries ?? TRIES;
		this.remedies = new Remedies(model, session, (action) => this.does(action));
		this.readSeq = session.log.at(-1)?.seq ?? 0;
	}

	/** At every tick; does something now and then. */
	tick(nowMs: number): void {
		if (this.session.doing !== "polishing") this.pumpsSinceMs = null;
		else this.pumpsSinceMs ??= nowMs;
		this.answers.watch(nowMs);
		if (nowMs < this.dueMs) return;
		this.readLog();
		this.dueMs = nowMs + PACE_MS;
		const next = this.tasks.shift();
		if (next !== undefined) next();
		else this.look(nowMs);
	}

	private look(nowMs: number): void {
		const { trial } = this.session;
		this.putBack(nowMs, trial);
		if (this.tasks.length > 0) return;
		if (trial !== null) this.attend(trial, nowMs);
		else if (this.step === null) this.goOn(nowMs);
	}

	/** What a step's act has moved goes back once it has stopped the pump, or the step is over. */
	private putBack(nowMs: number, trial: Trial | null): void {
		const { step } = this;
		if (step === null || (trial !== null && this.actedMs === null)) return;
		const { after = [], pumping } = stepActs[step] ?? {};
		const hasStopped = !this.model.motor.powered;
		const waitsForPlug = pumping === "usb-out" && nowMs < (this.actedMs ?? 0) + PLUG_MS;
		if (trial !== null && (!hasStopped || waitsForPlug)) return;
		const isTripped = this.session.doing === "tripped";
		if (trial !== null && !isTripped) return;
		if (!this.isBack) {
			this.isBack = true;
			this.tasks = after.map((act) => () => this.does(act));
			const looked = lookedAt[step];
			if (looked !== undefined) this.tasks.push(() => this.does(looked));
		}
		if (trial === null) this.step = null;
	}

	/** Between two steps: trips are acknowledged, work is ended, and the next step begins. */
	private goOn(nowMs: number): void {
		const { session } = this;
		if (session.doing === "tripped") {
			this.acknowledge();
			return;
		}
		if (session.doing !== "idle") {
			this.aloneSinceMs ??= nowMs;
			if (nowMs - this.aloneSinceMs > ALONE_MS) this.does("stop-by-link");
			return;
		}
		this.aloneSinceMs = null;
		const step = this.next();
		if (step === null) {
			this.end();
			return;
		}
		if (!this.isPrepared) {
			this.isPrepared = true;
			this.tasks = (stepActs[step]?.before ?? []).map((act) => () => this.does(act));
			const ranS = this.model.lastPoweredS;
			if (step === "thermometers" && ranS !== null) this.dueMs = nowMs + COOLS_MS;
			if (this.tasks.length > 0) return;
		}
		this.begin(step, nowMs);
	}

	/** Null where nothing is due any more, or a step has failed too often. */
	private next(): Step | null {
		const { crew, stepsDue } = this.session;
		if ([...this.failures.values()].some((times) => times >= this.tries)) return null;
		const [wanted] = crew.toProve;
		if (wanted !== undefined) return wanted;
		return crew.provesAll ? (stepsDue[0] ?? null) : null;
	}

	private begin(step: Step, nowMs: number): void {
		const { crew } = this.session;
		this.step = step;
		const { causes } = stepActs[step] ?? {};
		this.caused = causes === undefined ? [] : [causes];
		this.isPrepared = false;
		this.isBack = false;
		this.actedMs = null;
		this.asked = { what: "", sinceMs: nowMs };
		this.answers.begin();
		crew.send({ type: "prove-begin", id: crew.nextId(), step, by: "crew" });
		this.dueMs = nowMs + ANSWER_MS;
	}

	/** Does what the step under way asks for. */
	private attend(trial: Trial, nowMs: number): void {
		const { session } = this;
		const what = `${trial.asks} ${trial.say}`;
		if (what !== this.asked.what) {
			this.asked = { what, sinceMs: nowMs };
			this.refusals = 0;
		}
		if (this.actsOnPump(trial, nowMs)) return;
		const isStuck = trial.asks !== "wait" && nowMs - this.asked.sinceMs > STUCK_MS;
		if ((isStuck && !session.isAtWork) || this.refusals >= TRIES) {
			this.refusals = 0;
			session.crew.send({ type: "prove-end", id: session.crew.nextId() });
			this.dueMs = nowMs + ANSWER_MS;
			return;
		}
		if (session.doing !== "tripped") this.trippedSinceMs = null;
		else this.trippedSinceMs ??= nowMs;
		if (trial.asks === "press") this.pressFor(trial, nowMs);
		else if (this.isForlorn(nowMs)) this.acknowledge();
		else if (trial.asks === "order" && session.doing === "tripped") this.acknowledge();
		else if (trial.asks === "order") this.order(trial.step, nowMs);
		else if (trial.asks === "act") this.act(trial, nowMs);
		else if (trial.asks === "answer") this.answer(trial, nowMs);
	}

	/** @returns whether something was done to the running pump */
	private actsOnPump({ step, asks }: Trial, nowMs: number): boolean {
		const { pumping, intoMs = INTO_MS } = stepActs[step] ?? {};
		const { pumpsSinceMs } = this;
		if (pumping === undefined || this.actedMs !== null || pumpsSinceMs === null) return false;
		if (asks !== "act" || nowMs - pumpsSinceMs < intoMs) return false;
		this.actedMs = nowMs;
		this.does(pumping);
		return true;
	}

	private press(nowMs: number): void {
		this.does("press-acknowledge");
		this.dueMs = nowMs + ANSWER_MS;
	}

	private order(step: Step, nowMs: number): void {
		const { path } = this.model;
		if (path.measuredLitres > 0) {
			this.tasks = [() => this.does("can-back"), () => this.does("can-under")];
			return;
		}
		const tank = [...path.tanks].find(([, one]) => one === path.tubeTank)?.[0] ?? "";
		const litres = stepActs[step]?.litres ?? 1;
		this.session.crew.addsOrder({ polish: { tank, litres, attended: true } }, nowMs);
		// Horn and proofs take longer than this; a refusal does not.
		this.dueMs = nowMs + 2 * ANSWER_MS;
	}

	/** A trip that nobody has caused, and the step goes on: its order is given up. */
	private isForlorn(nowMs: number): boolean {
		const { trippedSinceMs, session } = this;
		if (trippedSinceMs === null || this.actedMs !== null) return false;
		return session.cycle.context.order !== null && nowMs - trippedSinceMs > FORLORN_MS;
	}

	/** A look that reads as the one before it asks for a press as well. */
	private pressFor(trial: Trial, nowMs: number): void {
		this.act(trial, nowMs);
		this.tasks = [() => this.press(this.session.nowMs)];
	}

	private act({ step, say }: Trial, nowMs: number): void {
		const { goes } = stepRows[step];
		if (goes.kind !== "look" || nowMs !== this.asked.sinceMs) return;
		const place = goes.looks.findIndex((look) => say.includes(look.say));
		const act = lookActs[step]?.[goes.looks[place]?.as ?? ""];
		if (act !== undefined) this.does(act);
	}

	private answer(trial: Trial, nowMs: number): void {
		const { crew } = this.session;
		const values = this.answers.to(trial.entries);
		crew.send({ type: "prove-answer", id: crew.nextId(), values });
		this.dueMs = nowMs + ANSWER_MS;
	}

	/** What the open trips ask for, and then the box's button. */
	private acknowledge(): void {
		// An order whose trip has shown what it was to show does not go on.
		const hasOrder = this.session.cycle.context.order !== null;
		const remedies = this.remedies.forTrips(this.caused);
		this.tasks = [
			...(hasOrder ? [() => this.does("stop-by-link")] : []),
			...remedies,
			() => this.does("press-acknowledge"),
			() => this.wait(remedies.length > 0 ? SWITCHED_MS : ANSWER_MS),
		];
	}

	private wait(ms: number): void {
		this.dueMs = this.session.nowMs + ms;
	}

	/** Which steps have passed, failed or been refused. */
	private readLog(): void {
		const { log, crew } = this.session;
		const isRead = ({ seq }: LogRecord) => seq <= this.readSeq;
		for (const record of log.slice(log.findLastIndex(isRead) + 1)) {
			if (record.kind === "proof-refused") {
				this.refusals += 1;
				if (this.session.trial === null && this.step !== null) this.fails(this.step);
			}
			if (record.kind !== "proof") continue;
			const isWanted = crew.toProve[0] === record.step;
			if (record.passed && isWanted) crew.toProve.shift();
			if (!record.passed) this.fails(record.step);
		}
		this.readSeq = log.at(-1)?.seq ?? this.readSeq;
	}

	private fails(step: Step): void {
		const failures = (this.failures.get(step) ?? 0) + 1;
		this.failures.set(step, failures);
	}

	private end(): void {
		this.failures.clear();
		this.session.crew.endProving();
	}

	private does(action: CrewAction): void {
		if (this.omits.includes(action)) return;
		this.session.crew.adds({ does: action }, this.session.nowMs);
	}
}
