// The guide of commissioning with a controller that is played by hand: what is due, what is under
// way, what came of it. No line and no terminal.

import type { FillList } from "../../firmware/commission/schemas.ts";
import type { Step } from "../../firmware/commission/step-rows.ts";
import { footOf, guide } from "../../host/cli/commission/guide.ts";
import {
	beginGuide,
	type GuideEvent,
	type GuideState,
	type Look,
	type Send,
} from "../../host/cli/commission/guide-state.ts";
import type { Last, Trial } from "../../host/cli/commission/guide-words.ts";

type Status = Look["status"];

export const idle: Status = { state: "idle", trips: [], order: null };
export const ours = {
	id: "commission-1",
	work: "polish",
	tank: "port",
	toTank: null,
	goalLitres: 20,
	goalHours: null,
	goalShare: null,
};

export const trialOf = (step: Step, more: Partial<Trial> = {}): Trial => ({
	step,
	id: "begun",
	asks: "press",
	say: "Press the box's button.",
	entries: [],
	seen: {},
	leftSeconds: 120,
	...more,
});

export const lastOf = (step: Step, passed: boolean, more: Partial<Last> = {}): Last => ({
	step,
	passed,
	reasons: [],
	values: {},
	...more,
});

/** A guide with a controller that is played: due steps, trial, last step and status are set. */
export class Played {
	state: GuideState;
	said: string[] = [];
	sent: Send[] = [];
	due: Step[];
	readonly all: readonly Step[];
	status: Status = idle;
	trial: Trial | null = null;
	last: Last | null = null;
	fills: FillList | null = null;
	blocked: Look["blocked"] = [];

	constructor(all: readonly Step[], options: Partial<Parameters<typeof beginGuide>[0]> = {}) {
		this.all = all;
		this.due = [...all];
		this.state = beginGuide({ by: "AB", tank: null, tanks: ["port"], only: null, ...options });
	}

	put(event: GuideEvent): this {
		const { state, lines, send } = guide(this.state, event);
		this.state = state;
		this.said.push(...lines.map(({ text }) => text));
		if (send !== null) this.sent.push(send);
		return this;
	}

	look(): this {
		const rows = this.all.map((step) => {
			const isDue = this.due.includes(step);
			return {
				step,
				due: isDue ? "never passed" : null,
				passedAt: isDue ? null : "2026-11-26T10:00",
			};
		});
		const { status, fills, blocked, trial, last } = this;
		const now = { trial, last };
		return this.put({
			type: "look",
			look: { status, now, rows: this.state.isStale ? rows : null, fills, blocked },
		});
	}

	type(text: string): this {
		return this.put({ type: "typed", text });
	}

	/** The controller says yes to what was sent. */
	yes(): this {
		return this.put({ type: "answered", accepted: true, reasons: [] });
	}

	no(...reasons: string[]): this {
		return this.put({ type: "answered", accepted: false, reasons });
	}

	/** What has been said since this was last asked. */
	text(): string {
		return this.said.splice(0).join("\n");
	}

	get foot(): string {
		const foot = footOf(this.state);
		return "live" in foot ? foot.live : foot.prompt;
	}

	get lastSent(): Send | undefined {
		return this.sent.at(-1);
	}

	/** The step under way comes to its end. */
	end(step: Step, passed: boolean, more: Partial<Last> = {}): this {
		this.trial = null;
		this.last = lastOf(step, passed, more);
		if (passed) this.due = this.due.filter((one) => one !== step);
		return this.look();
	}
}

export const at = (played: Played, step: Step): Played => {
	played.look().type("").yes();
	played.trial = trialOf(step);
	return played.look();
};
