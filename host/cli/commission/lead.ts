// Leads a person through commissioning on a terminal: looks three times a second, hands what is
// typed to the guide, sends what the guide wants, and outlives the cable. Imports the link.

import { setTimeout as sleep } from "node:timers/promises";
import type { Step } from "../../../firmware/commission/step-rows.ts";
import { stepRows } from "../../../firmware/commission/step-rows.ts";
import { InputError } from "../../../firmware/config/input-error.ts";
import { NoAnswer } from "../../link/client.ts";
import type { SteadyLink } from "../../link/steady-link.ts";
import { readRigOverLink } from "../../serve/rig-reading.ts";
import { EXIT } from "../exit.ts";
import { Console } from "./console.ts";
import { give, lookAt, readSteps, tellClock } from "./desk.ts";
import { footOf, guide } from "./guide.ts";
import { beginGuide, type GuideEvent, type GuideState, type Send } from "./guide-state.ts";
import { bad, type Line, plain } from "./guide-words.ts";

export interface LeadOptions {
	readonly step?: Step;
	readonly by?: string;
	readonly tank?: string;
}

const LOOK_EVERY_MS = 333;

/** @param end ends the waiting for a line that is lost */
export async function lead(
	link: SteadyLink,
	options: LeadOptions,
	signal: AbortSignal,
	end: () => void,
): Promise<number> {
	const tanks = await tanksOf(link);
	const { tank = null, by = null, step: only = null } = options;
	if (tank !== null && !tanks.includes(tank)) throw noSuchTank(tank, tanks);
	if (only !== null) await refuseOthers(link, only);
	const session = new Session(link, beginGuide({ by, tank, tanks, only }), end);
	try {
		return await session.run(signal);
	} finally {
		session.close();
	}
}

/** Of the rig file that the controller has. @throws InputError when it cannot be had */
async function tanksOf(link: SteadyLink): Promise<string[]> {
	const read = await readRigOverLink(link);
	const rig = read?.rig ?? null;
	if (rig !== null) return rig.tanks.map(({ name }) => name);
	const found = read === null ? "a line that was lost" : read.why;
	throw new InputError([{ file: "lees commission", found, allowed: "a rig file over the link" }]);
}

const noSuchTank = (found: string, tanks: readonly string[]): InputError =>
	new InputError([
		{ file: "lees commission", key: "--tank", found: `"${found}"`, allowed: tanks.join(", ") },
	]);

/** @throws InputError for a step of which the rig has no sensor */
async function refuseOthers(link: SteadyLink, step: Step): Promise<void> {
	const rows = await readSteps(link.client);
	if (rows.some((row) => row.step === step)) return;
	const found = `${step}, for which the rig has no sensor`;
	const allowed = rows.map((row) => row.step).join(", ");
	throw new InputError([{ file: "lees commission", key: "--step", found, allowed }]);
}

class Session {
	private readonly link: SteadyLink;
	private readonly console: Console;
	private state: GuideState;
	private send: Send | null = null;
	/** Wakes the loop before its time: something was typed. */
	private wake = new AbortController();

	constructor(link: SteadyLink, state: GuideState, end: () => void) {
		this.link = link;
		this.state = state;
		this.console = new Console({
			onLine: (text) => this.take({ type: "typed", text }),
			onQuit: () => {
				if (this.state.isLost) end();
				this.take({ type: "quit" });
			},
		});
		this.say([
			{ mark: "title", text: `Commissioning of ${link.hello.rig}` },
			plain(
				"Local codes, the insurer and licensed practice come first. Diesel burns: no flame, no " +
					"spark. The stop button is at the rig; nothing here replaces it.",
			),
		]);
	}

	async run(signal: AbortSignal): Promise<number> {
		signal.addEventListener("abort", () => this.take({ type: "quit" }));
		await this.connected(() => this.setClock());
		while (!this.isOver) {
			await this.connected(() => this.round());
			if (!this.isOver && this.send === null) await this.pause();
		}
		return this.state.rows.every(({ due }) => due === null) ? EXIT.good : EXIT.doesNotHold;
	}

	private get isOver(): boolean {
		return this.state.phase === "over";
	}

	close(): void {
		this.console.close();
	}

	private say(lines: readonly Line[]): void {
		this.console.show(lines, footOf(this.state));
	}

	private take(event: GuideEvent): void {
		const { state, lines, send } = guide(this.state, event);
		this.state = state;
		this.send = send ?? this.send;
		this.console.show(lines, footOf(state));
		if (event.type !== "look") this.wake.abort();
	}

	/** What the guide wants sent goes first; else a look. */
	private async round(): Promise<void> {
		const { client } = this.link;
		const { send } = this;
		if (send === null) {
			this.take({ type: "look", look: await lookAt(client, this.wants()) });
			return;
		}
		this.send = null;
		try {
			this.take({ type: "answered", ...(await give(client, send)) });
		} catch (error) {
			// What the controller does not understand is a refusal; silence may be a yes.
			if (error instanceof NoAnswer) this.take({ type: "unanswered" });
			else if (error instanceof InputError) {
				this.take({ type: "answered", accepted: false, reasons: [error.message] });
			}
			if (error instanceof NoAnswer || !(error instanceof InputError)) throw error;
		}
	}

	private wants() {
		const { isStale, step } = this.state;
		return { rows: isStale, fills: step !== null && stepRows[step].goes.kind === "fills" };
	}

	/** Does it, or waits for the line to come back. @throws InputError when it stays away */
	private async connected(work: () => Promise<void>): Promise<void> {
		try {
			await work();
		} catch (error) {
			if (!(error instanceof NoAnswer)) throw error;
			const { boot } = this.link.hello;
			this.take({ type: "lost" });
			this.send = null;
			if (!(await this.link.again())) return;
			const isNewBoot = this.link.hello.boot !== boot;
			this.take({ type: "found", isNewBoot });
			if (isNewBoot) await this.connected(() => this.setClock());
		}
	}

	private async setClock(): Promise<void> {
		const { at, decision } = await tellClock(this.link.client);
		const local = new Date(at.getTime() - 60_000 * at.getTimezoneOffset());
		const told = `${local.toISOString().slice(0, 16)} (± 2 s)`;
		const { accepted, reasons } = decision;
		this.say([
			accepted
				? plain(`The controller's clock is set from this computer: ${told}.`)
				: bad(`The clock was refused: ${reasons.join("; ")}.`),
		]);
	}

	private async pause(): Promise<void> {
		this.wake = new AbortController();
		await sleep(LOOK_EVERY_MS, undefined, { signal: this.wake.signal }).catch(() => {});
	}
}
