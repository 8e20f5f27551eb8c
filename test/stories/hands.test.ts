// The words of `lees emulate`'s terminal: each is known, each does at the rig what the crew
// of a scenario does by the same name, and what is seen and read comes back as a line.

import { describe, expect, it } from "vitest";
import { ALL_OFF } from "../../firmware/board/port.ts";
import { Hands, handWords } from "../../sim/emulated-board/hands.ts";
import { WiredBoard } from "../../sim/emulated-board/wiring.ts";
import { handActs } from "../../sim/hand-acts.ts";
import { modelOf } from "./rig-world.ts";
import { pins } from "./world.ts";

function box() {
	const model = modelOf();
	const wired = new WiredBoard(model, pins);
	return { model, hands: new Hands(model, wired) };
}

it("knows all its words, those of proving among them, and no other", () => {
	const { hands } = box();
	const names = Object.keys(handWords);
	expect(names).toEqual(expect.arrayContaining(Object.keys(handActs)));
	for (const name of names) expect(hands.lend(name), name).not.toBeNull();
	for (const name of ["", "help", "toString", "probe"]) expect(hands.lend(name)).toBeNull();
});

describe("what is lifted, plugged and shut", () => {
	it("goes back by the word for it", () => {
		const { model, hands } = box();
		const before = structuredClone({ ...model.hands });
		const pairs = [
			["lift-return", "seat-return"],
			["lift-tube", "seat-tube"],
			["plug-stop", "unplug-stop"],
			["plug-return", "unplug-return"],
			["valve-shut", "valve-open"],
			["valve-nearly", "valve-open"],
			["vent-open", "vent-shut"],
			["return-shut", "return-open"],
			["probe-salt", "probe-back"],
			["tray-dip", "tray-wipe"],
			["can-under", "can-back"],
			["sensors-together", "sensors-back"],
		] as const;
		for (const [away, back] of pairs) {
			hands.lend(away);
			expect({ ...model.hands }, away).not.toEqual(before);
			hands.lend(back);
			expect({ ...model.hands }, back).toEqual(before);
		}
		hands.lend("usb-out");
		hands.lend("lift-foot");
		expect([model.has("usb-unplugged"), model.has("tube-lifted")]).toEqual([true, true]);
		hands.lend("usb-in");
		hands.lend("lower-tube");
		expect([model.has("usb-unplugged"), model.has("tube-lifted")]).toEqual([false, false]);
	});
});

describe("what is told", () => {
	it("seen: flashes and sounds since it was last asked", () => {
		const { model, hands } = box();
		for (let i = 0; i < 3; i += 1) {
			model.drive({ ...ALL_OFF, horn: true, "lamp-pump": i > 0 });
			model.drive(ALL_OFF);
		}
		expect(hands.lend("seen")).toBe("seen lamp-pump 2, lamp-trip 0, horn 3");
		expect(hands.lend("seen")).toBe("seen lamp-pump 0, lamp-trip 0, horn 0");
	});

	it("read: a figure for each instrument, by the names that commissioning asks for", () => {
		const { hands } = box();
		const told = hands.lend("read") ?? "";
		for (const name of ["clampAmps", "meterVolts", "thermometerC", "airHpa", "dipFrom", "dipTo"]) {
			expect(told).toMatch(new RegExp(`${name} -?[0-9.]+`));
		}
	});
});
