// The guide of commissioning where the pump runs, as stories: orders after a yes alone, an order
// that is stopped before it could go on by itself, and the fills of the meter.

import { describe, expect, it } from "vitest";
import type { FillList } from "../../firmware/commission/schemas.ts";
import type { Step } from "../../firmware/commission/step-rows.ts";
import { at, idle, ours, Played, trialOf } from "./played-guide.ts";

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

	it("says what there is to do at the moment in which it is to be done", () => {
		const played = asked("stop-cuts").type("yes").yes();
		played.trial = trialOf("stop-cuts", { asks: "act", say: "Do it now, and leave it so." });
		played.text();
		const said = "> Do it now, and leave it so.\n  Once it pumps, press the stop button.";
		expect(played.look().text()).toBe(said);
	});

	it("takes the trip that a step means for no fault of the rig", () => {
		const played = asked("dead-man").type("yes").yes();
		const trips = [
			{ code: "no-current", cause: "commissioning: the beat was held still" },
		] as const;
		played.status = { state: "tripped", trips: [...trips], order: ours };
		const text = played.end("dead-man", true).look().text();
		expect(text).toContain("the step meant this stop, and nothing is to be mended");
		expect(text).not.toContain("brushes");
	});

	it("asks for the tank where there are several, once", () => {
		const played = asked("prime", { tanks: ["port", "day"] });
		expect(played.foot).toBe("Tank that the tube stands in (port, day): ");
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
		expect(played.text()).toContain("Press the box's button once when that is done");
		expect(played.foot).toContain("waits for the box's button");
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

	it("tells a trip that is not the step's own, and stops the order that might go on", () => {
		const played = asked("meter").type("5").type("yes").yes();
		played.trial = trialOf("meter", { asks: "wait", say: "It pumps." });
		played.status = {
			state: "tripped",
			trips: [{ code: "board-lost", cause: "old" }],
			order: ours,
		};
		for (let looks = 0; looks < 20; looks += 1) played.look();
		// The step's own trip would have ended it in this time.
		expect(played.text()).not.toContain("Tripped");
		expect(played.lastSent?.type).toBe("order");
		for (let looks = 0; looks < 5; looks += 1) played.look();
		expect(played.lastSent?.type).toBe("stop");
		const text = played.yes().look().text();
		expect(text.match(/Tripped: board-lost/g)).toHaveLength(1);
		expect(text).toContain("it might go on by itself");
		expect(played.sent.filter(({ type }) => type === "stop")).toHaveLength(1);
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
		played.type("0.5").type("10");
		expect(played.text()).toContain("from tank port into the can. Return locked");
		played.type("yes");
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
