// The guide of commissioning as stories: how the controller stands and what a person types go in,
// what is said and sent is looked at. No line and no terminal; the controller is played by hand.

import { describe, expect, it } from "vitest";
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

const idle: Status = { state: "idle", trips: [], order: null };
const ours = {
	id: "commission-1",
	work: "polish",
	tank: "port",
	toTank: null,
	goalLitres: 20,
	goalHours: null,
	goalShare: null,
};

const trialOf = (step: Step, more: Partial<Trial> = {}): Trial => ({
	step,
	id: "begun",
	asks: "press",
	say: "Press the box's button.",
	entries: [],
	seen: {},
	leftSeconds: 120,
	...more,
});

const lastOf = (step: Step, passed: boolean, more: Partial<Last> = {}): Last => ({
	step,
	passed,
	reasons: [],
	values: {},
	...more,
});

/** A guide with a controller that is played: due steps, trial, last step and status are set. */
class Played {
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

const at = (played: Played, step: Step): Played => {
	played.look().type("").yes();
	played.trial = trialOf(step);
	return played.look();
};

describe("the first look", () => {
	it("says how many steps are due, and tells the first one with its caution and why", () => {
		const played = new Played(["lamps", "horn"]).look();
		const text = played.text();
		expect(text).toContain("2 of 2 steps are due");
		expect(text).toContain("1 of 2 that are due: Both lamps (lamps; at rest)");
		expect(text).toContain("Caution: No fuel is near.");
		expect(text).toContain("Why: Never passed.");
		expect(played.foot).toBe("Enter begins it, s leaves it out, q ends: ");
		expect(played.sent).toEqual([]);
	});

	it("goes on with a step that is under way: another guide began it and is gone", () => {
		const played = new Played(["stop-loop"]);
		played.trial = trialOf("stop-loop", { asks: "act", say: "Press the stop button." });
		played.look();
		expect(played.text()).toContain("Under way: The stop button is seen");
		expect(played.foot).toContain("watching");
	});

	it("ends at once where nothing is due", () => {
		const played = new Played(["lamps"]);
		played.due = [];
		played.look();
		expect(played.state.phase).toBe("over");
		expect(played.text()).toContain("Every step is passed");
	});

	it("takes the wanted step, due or not", () => {
		const played = new Played(["lamps", "horn"], { only: "horn" });
		played.due = [];
		played.look();
		expect(played.text()).toContain("It is not due; it may be done again.");
		played.type("");
		expect(played.lastSent).toEqual({ type: "begin", step: "horn", by: "AB" });
	});

	it("waits for a rig that is tripped before it begins anything", () => {
		const played = new Played(["lamps"]);
		played.status = { state: "tripped", trips: [{ code: "leak", cause: "fuel" }], order: null };
		played.blocked = [{ code: "leak", why: "the tray is not dry" }];
		played.look();
		expect(played.text()).toContain("Then acknowledge at the box");
		expect(played.foot).toContain("not yet: the tray is not dry");
		played.type("");
		expect(played.sent).toEqual([]);
		played.status = idle;
		played.look();
		expect(played.text()).toMatch(/Acknowledged\.[\s\S]*Both lamps/);
	});
});

describe("initials", () => {
	it("are asked for once", () => {
		const played = new Played(["lamps", "horn"], { by: null }).look().type("");
		expect(played.foot).toBe("Your initials: ");
		played.type("much too long a name");
		expect(played.text()).toContain("found 20 characters; allowed: 1 to 12");
		played.type("CD");
		expect(played.lastSent).toEqual({ type: "begin", step: "lamps", by: "CD" });
		played.yes();
		played.trial = trialOf("lamps");
		played.look().end("lamps", true).look().type("");
		expect(played.lastSent).toEqual({ type: "begin", step: "horn", by: "CD" });
	});
});

describe("a step at rest", () => {
	it("shows what is asked and read, tells the evidence, and goes on to the next", () => {
		const played = at(new Played(["stop-loop", "button"]), "stop-loop");
		expect(played.text()).toContain("> Press the box's button.");
		expect(played.foot).toContain("waits for a press");
		const act = { asks: "act", say: "Press the stop button.", leftSeconds: 600 } as const;
		played.trial = trialOf("stop-loop", { ...act, seen: { stop: "made", madeOhm: 1_203.4 } });
		played.look().look();
		expect(played.text()).toBe("> Press the stop button.");
		expect(played.foot).toBe("watching: stop made, made 1203 Ω; 600 s left, q ends it");
		played.end("stop-loop", true, { values: { brokenOhm: 99_000 } });
		played.look();
		const text = played.text();
		expect(text).toContain("Passed: The stop button is seen.");
		expect(text).toContain("Evidence: broken 99000 Ω.");
		expect(text).toContain("1 of 1 that are due: The acknowledge button");
	});

	it("tells why it has not passed, and does it again on r", () => {
		const played = at(new Played(["lamps"]), "lamps");
		played.end("lamps", false, { reasons: ["the pump lamp flashed 3 times, not 4"] }).look();
		expect(played.text()).toMatch(/Not passed: Both lamps\.[\s\S]*3 times, not 4\./);
		expect(played.foot).toContain("r tries it again");
		played.type("r");
		expect(played.lastSent).toEqual({ type: "begin", step: "lamps", by: "AB" });
	});

	it("leaves a step out on s, and what is left out stays due", () => {
		const played = new Played(["lamps", "horn"]).look().type("s").type("s");
		expect(played.state.phase).toBe("over");
		expect(played.text()).toContain("2 of 2 steps are due");
	});

	it("says why the controller refuses, and stays at the step", () => {
		const played = new Played(["lamps"]).look().type("").no("another step is under way");
		expect(played.text()).toContain("Refused: Another step is under way.");
		expect(played.foot).toContain("Enter begins it");
	});
});

describe("values", () => {
	const asked = () => {
		const played = at(new Played(["supply"]), "supply");
		played.trial = trialOf("supply", { asks: "answer", say: "Type it.", entries: ["meterVolts"] });
		return played.look();
	};

	it("are asked for with their range, and sent when all are there", () => {
		const played = asked();
		expect(played.foot).toBe("the multimeter, V (8 to 32): ");
		played.type("12,7");
		expect(played.lastSent).toEqual({ type: "answer", values: { meterVolts: 12.7 } });
	});

	it("that are none are told with what is allowed, and asked for again", () => {
		const played = asked();
		played.text();
		played.type("volts");
		expect(played.text()).toBe('found "volts"; allowed: a number from 8 to 32');
		expect(played.foot).toBe("the multimeter, V (8 to 32): ");
		expect(played.lastSent?.type).toBe("begin");
	});

	it("outside their range are asked for again", () => {
		const played = asked();
		played.text();
		played.type("127").type("127");
		expect(played.text()).toContain("found 127; allowed: 8 to 32");
		expect(played.lastSent?.type).toBe("begin");
	});

	it("that make a step fail are sent when they are typed twice: they may be true", () => {
		const played = at(new Played(["identity"]), "identity");
		played.trial = trialOf("identity", { asks: "answer", entries: ["lampsAlone"] });
		played.look().type("1");
		expect(played.text()).toContain("1 is not 0: if it is so, type it again");
		expect(played.lastSent?.type).toBe("begin");
		played.type("1");
		expect(played.lastSent).toEqual({ type: "answer", values: { lampsAlone: 1 } });
	});

	it("that the controller refuses are asked for anew", () => {
		const played = asked().type("12.6").no("values come too late");
		expect(played.foot).toBe("the multimeter, V (8 to 32): ");
	});
});

describe("a step with the pump", () => {
	const asked = (step: Step, options = {}) => {
		const played = at(new Played([step, "horn"], options), step);
		played.trial = trialOf(step, { asks: "order", say: "Order it." });
		return played.look();
	};

	it("orders after a yes alone, with the litres of its words, attended by its caution", () => {
		const played = asked("dead-man");
		expect(played.text()).toContain("the pump starts by itself");
		expect(played.foot).toBe("Type yes to order 5 L, no to end the step: ");
		played.type("").type("y").look();
		expect(played.sent.map(({ type }) => type)).toEqual(["begin"]);
		played.type("yes");
		expect(played.lastSent).toEqual({ type: "order", tank: "port", litres: 5 });
	});

	it("says the caution once, however long the answer takes", () => {
		const played = asked("dead-man").look().look();
		expect(played.text().match(/the pump starts by itself/g)).toHaveLength(1);
	});

	it("asks for the tank where there are several, once", () => {
		const played = asked("prime", { tanks: ["port", "day"] });
		expect(played.foot).toBe("Tank with tube and return (port, day): ");
		played.type("bow");
		expect(played.text()).toContain('found "bow"; allowed: port, day');
		played.type("day").type("yes");
		expect(played.lastSent).toEqual({ type: "order", tank: "day", litres: 1 });
	});

	it("ends the step on no", () => {
		expect(asked("prime").type("no").lastSent).toEqual({ type: "end" });
	});

	it("asks again after a refusal, and does not order twice what was taken", () => {
		const played = asked("prime").type("yes").no("probe: wet");
		expect(played.text()).toContain("Refused: Probe: wet.");
		played.type("yes").yes().look().look();
		expect(played.foot).not.toContain("Type yes");
		expect(played.sent.filter(({ type }) => type === "order")).toHaveLength(2);
	});

	it("asks again when an order that was taken has come to nothing", () => {
		const played = asked("prime").type("yes").yes();
		for (let looks = 0; looks < 20; looks += 1) played.look();
		expect(played.foot).toContain("Type yes");
	});

	it("stops what is left of its order before anybody can acknowledge it into going on", () => {
		const played = asked("trip-dry").type("yes").yes();
		played.status = { state: "polishing", trips: [], order: ours };
		played.trial = trialOf("trip-dry", { asks: "act", say: "Lift it." });
		played.look();
		played.status = { state: "tripped", trips: [{ code: "dry-run", cause: "dry" }], order: ours };
		played.end("trip-dry", true).look();
		expect(played.lastSent).toEqual({ type: "stop" });
		played.yes();
		played.status = { ...played.status, order: null };
		played.look();
		expect(played.text()).toContain("acknowledge at the box");
		expect(played.foot).toContain("waits for the acknowledgement");
		played.status = idle;
		played.look();
		expect(played.text()).toContain("The horn (horn");
		expect(played.sent.filter(({ type }) => type === "stop")).toHaveLength(1);
	});

	it("gives the trip that follows a cut its time before the order is stopped", () => {
		const played = asked("dead-man").type("yes").yes();
		played.status = { state: "polishing", trips: [], order: ours };
		played.end("dead-man", true);
		for (let looks = 0; looks < 10; looks += 1) played.look();
		expect(played.lastSent?.type).toBe("order");
		for (let looks = 0; looks < 15; looks += 1) played.look();
		expect(played.lastSent?.type).toBe("stop");
	});

	it("stops no order of somebody else", () => {
		const played = asked("prime");
		played.status = { state: "polishing", trips: [], order: { ...ours, id: "theirs" } };
		played.end("prime", true);
		for (let looks = 0; looks < 30; looks += 1) played.look();
		expect(played.sent.map(({ type }) => type)).toEqual(["begin"]);
		expect(played.foot).toContain("waits for idle");
	});
});

const fill = (fillSeq: number, perLitre: number, odd = false) => ({
	fillSeq,
	pulses: Math.round(10 * perLitre),
	litres: 10,
	seconds: 400,
	perLitre,
	struck: false,
	odd,
});

describe("the fills of the meter", () => {
	const three: FillList = {
		fills: [fill(41, 420.1), fill(44, 419.8), fill(47, 431.2, true)],
		perLitre: 423.7,
		uncertaintyPct: 0.913,
		pumpLph: 90.04,
		pumpPct: 0.4,
	};
	const begun = () => {
		const played = at(new Played(["meter"]), "meter");
		played.trial = trialOf("meter", { asks: "order", say: "Order a fill." });
		return played;
	};

	it("are of the person's size, asked for once", () => {
		const played = begun().look();
		expect(played.foot).toBe("Litres of one fill, 1 to 50: ");
		played.type("0.5").type("10").type("yes");
		expect(played.lastSent).toEqual({ type: "order", tank: "port", litres: 10 });
	});

	it("stand in a table, odd ones marked and none left out, with mean and uncertainty", () => {
		const played = begun();
		played.fills = three;
		played.look();
		const text = played.text();
		expect(text).toMatch(/47 +10\.00 +400\.0 +4312 +431\.20 +90\.0 +odd: look at it/);
		expect(text).toContain("Mean 423.70 pulses/L, standard uncertainty 0.91 %.");
		expect(text).toContain("Pump 90.0 L/h");
		played.look();
		expect(played.text()).toBe("");
	});

	it("are struck by number, with a reason", () => {
		const played = begun();
		played.fills = three;
		played.look().type("strike 47");
		expect(played.text()).toContain("strike NUMBER REASON");
		played.type("strike 47 spilled some");
		expect(played.lastSent).toEqual({ type: "strike", fillSeq: 47, why: "spilled some" });
		played.yes();
		expect(played.text()).toContain("Fill 47 is struck.");
	});

	it("that do not fit the rig file end with the lines for it", () => {
		const played = begun();
		played.fills = three;
		played.look().end("meter", false, { reasons: ["the rig file says 420"] });
		const text = played.text();
		expect(text).toContain("pulsesPerLitre: 423.7");
		expect(text).toContain("calibrationPct: 0.92");
		expect(text).toContain("measuredLph: 90.04");
	});
});

describe("a line that is lost", () => {
	it("is said, and the step goes on where it was", () => {
		const played = at(new Played(["stop-loop"]), "stop-loop").put({ type: "lost" });
		expect(played.text()).toContain("The line is lost");
		expect(played.foot).toContain("the line is lost");
		played.put({ type: "found", isNewBoot: false }).look();
		expect(played.text()).toMatch(/The line is back\.[\s\S]*Under way/);
	});

	it("tells what the step came to meanwhile", () => {
		const played = at(new Played(["stop-loop"]), "stop-loop").put({ type: "lost" });
		played.put({ type: "found", isNewBoot: false }).end("stop-loop", true).look();
		expect(played.text()).toContain("Passed: The stop button is seen.");
		expect(played.state.phase).toBe("over");
	});

	it("at a controller that began anew begins the step again, and keeps what had passed", () => {
		const played = at(new Played(["lamps", "stop-loop"]), "lamps");
		played.end("lamps", true).look().type("").yes();
		played.trial = trialOf("stop-loop");
		played.look().put({ type: "lost" }).put({ type: "found", isNewBoot: true });
		played.trial = null;
		played.last = null;
		played.look();
		const text = played.text();
		expect(text).toContain("what had passed stays passed");
		expect(text).toContain("1 of 1 that are due: The stop button is seen");
		expect(played.foot).toContain("Enter begins it");
	});

	it("with a command on its way is not asked again by itself", () => {
		const played = new Played(["lamps"]).look().type("").put({ type: "unanswered" });
		played.put({ type: "lost" }).put({ type: "found", isNewBoot: false }).look();
		expect(played.sent).toHaveLength(1);
		expect(played.foot).toContain("Enter begins it");
	});
});

describe("an end by the person", () => {
	it("ends the step and stops its order first", () => {
		const played = at(new Played(["trip-dry"]), "trip-dry");
		played.status = { state: "polishing", trips: [], order: ours };
		played.look().put({ type: "quit" });
		expect(played.lastSent).toEqual({ type: "stop" });
		played.yes();
		expect(played.lastSent).toEqual({ type: "end" });
		played.yes();
		expect(played.state.phase).toBe("over");
		expect(played.text()).toContain("What has passed stays passed");
	});

	it("waits for the answer to what was sent, and ends the step that it began", () => {
		const played = new Played(["lamps"]).look().type("").put({ type: "quit" });
		expect(played.lastSent?.type).toBe("begin");
		played.yes();
		played.trial = trialOf("lamps");
		played.look();
		expect(played.lastSent).toEqual({ type: "end" });
	});

	it("comes at once on a second time, and where nothing is under way", () => {
		expect(new Played(["lamps"]).look().type("q").state.phase).toBe("over");
		const played = at(new Played(["lamps"]), "lamps")
			.put({ type: "quit" })
			.put({ type: "quit" });
		expect(played.state.phase).toBe("over");
	});

	it("without a line says when the step ends by itself", () => {
		const played = at(new Played(["lamps"]), "lamps")
			.put({ type: "lost" })
			.put({ type: "quit" });
		expect(played.text()).toContain("ends by itself within 15 minutes");
	});
});
