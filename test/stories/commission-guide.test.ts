// The guide of commissioning as stories: how the controller stands and what a person types go in,
// what is said and sent is looked at. What needs the pump has a file of its own.

import { describe, expect, it } from "vitest";
import { at, idle, ours, Played, trialOf } from "./played-guide.ts";

describe("the first look", () => {
	it("says how many steps are due, and tells the first one with its caution and why", () => {
		const played = new Played(["lamps", "horn"]).look();
		const text = played.text();
		expect(text).toContain("2 of 2 steps are due");
		expect(text).toContain("1 of 2 that are due: Both lamps (lamps; at rest)");
		expect(text).toContain("Caution: Keep fuel away.");
		expect(text).toContain("Why it is due: never passed.");
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
		expect(played.text()).toContain("Press the box's button once when that is done");
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
		expect(played.foot).toBe("watching: stop made, made 1203 Ω; 10 min left, q ends it");
		played.end("stop-loop", true, { values: { brokenOhm: 99_000 } });
		played.look();
		const text = played.text();
		expect(text).toContain("Passed: The stop button is seen.");
		expect(text).toContain("Evidence: broken 99000 Ω.");
		expect(text).toContain("1 of 1 that are due: The acknowledge button");
	});

	it("tells the trip that it asked for when it has ended, not before", () => {
		const played = at(new Played(["stop-loop"]), "stop-loop");
		played.trial = trialOf("stop-loop", { asks: "act", say: "Press the stop button." });
		played.status = {
			state: "tripped",
			trips: [{ code: "stop-button", cause: "it" }],
			order: null,
		};
		for (let looks = 0; looks < 40; looks += 1) played.look();
		expect(played.text()).not.toContain("Tripped");
		played.end("stop-loop", true).look();
		expect(played.text()).toMatch(/Passed[\s\S]*Tripped: stop-button/);
		expect(played.sent.map(({ type }) => type)).toEqual(["begin"]);
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

	it("that differ from what was typed are told by name and with their unit", () => {
		const played = asked().type("12.6").yes();
		const reason = "supplyVolts reads 11.9, which is not 12.6 ± 0.2";
		played.end("supply", false, { reasons: [reason] });
		expect(played.text()).toContain("Supply reads 11.9, which is not 12.6 ± 0.2 V.");
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
		// One at a time: a look that was on its way says nothing of what was sent since.
		expect(played.look().sent.map(({ type }) => type)).toEqual(["begin", "stop"]);
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
