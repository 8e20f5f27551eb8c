// A person with a box to prove, for story tests: steps are begun over the link, the box's button is
// pressed, lamps are counted and values typed. The controller is the real one.

import type { Part } from "../../firmware/commission/parts.ts";
import { planProving } from "../../firmware/commission/plan.ts";
import type { Step } from "../../firmware/commission/step-rows.ts";
import { proofList, proofNow } from "../../firmware/commission/telling.ts";
import type { Values } from "../../firmware/commission/trial.ts";
import type { Rig } from "../../firmware/config/rig.ts";
import { createController } from "../../firmware/controller.ts";
import { localMs } from "../../firmware/local-time.ts";
import { recover } from "../../firmware/log/recovery.ts";
import { exampleRig, pins, World } from "./world.ts";

export class Prover extends World {
	private ids = 0;

	constructor(rig: Rig = exampleRig()) {
		super(rig);
		this.set({ commissioned: false, armed: false });
		this.setClock("2026-11-29T10:00");
		this.pass(1);
	}

	private id(): string {
		this.ids += 1;
		return `prove-${this.ids}`;
	}

	/** Over the link alone. */
	begin(step: Step): void {
		this.give({ type: "prove-begin", id: this.id(), step, by: "JM" });
		this.pass(0.2);
	}

	/** And a hand at the box. */
	start(step: Step): void {
		this.begin(step);
		this.pressAcknowledge();
	}

	answer(values: Values): void {
		this.give({ type: "prove-answer", id: this.id(), values: { ...values } });
		this.pass(0.2);
	}

	end(): void {
		this.give({ type: "prove-end", id: this.id() });
		this.pass(0.2);
	}

	change(part: Part): void {
		this.give({ type: "change-part", id: this.id(), part, by: "JM" });
		this.pass(0.2);
	}

	strike(fillSeq: number): void {
		this.give({ type: "strike-fill", id: this.id(), fillSeq, why: "spilt" });
		this.pass(0.2);
	}

	/** The step under way as the link tells it. */
	get now() {
		return proofNow(this.state.commission, null, this.nowMs).trial;
	}

	/** The step that ended last. */
	get last() {
		return this.of("proof").at(-1);
	}

	get refused(): string {
		return this.of("proof-refused").at(-1)?.reasons.join("; ") ?? "";
	}

	/** Why a step is due, or null. */
	due(step: Step): string | null {
		const plan = planProving(this.rig, pins);
		const local = localMs(this.state.schedule.clock, this.nowMs);
		const all = [0, 6, 12, 18, 24, 30].flatMap(
			(from) => proofList(plan, this.state.commission, local, from).rows,
		);
		const row = all.find((one) => one.step === step);
		if (row === undefined) throw new Error(`the rig has no step ${step}`);
		return row.due;
	}

	/** Edges of an output from low to high since that tick of the history. */
	flashes(name: "lamp-pump" | "lamp-trip" | "horn", from: number): number {
		const levels = this.history.slice(from).map((outputs) => outputs[name]);
		return levels.filter((level, i) => level && levels[i - 1] !== true).length;
	}

	/** An attended polish, up to its tenth second on fuel. */
	pumpForStep(litres = 5): void {
		this.polish({ litres, attended: true });
		this.passUntil(() => this.name === "polishing", 60);
	}

	/** The power goes and comes back: what the log has is all that is left. @param rig a new file */
	restarted(rig: Rig = this.rig): Prover {
		const next = new Prover(rig);
		const booted = createController(rig, pins).boot(0, recover(this.records, rig));
		next.state = booted.state;
		next.outputs = booted.outputs;
		next.nowMs = 0;
		next.records.splice(0, next.records.length, ...this.records, ...booted.records);
		next.setClock("2026-11-29T11:00");
		next.pass(1);
		return next;
	}
}
