// The wiring of the box keeps its rules, and each rule is seen to bite: a copy that is spoilt in
// one thing is found by that rule and by no other. Bad wiring files are refused by line and column.

import { describe, expect, it } from "vitest";
import { readInputFile } from "../../firmware/config/input-file.ts";
import type { PinMap } from "../../firmware/config/pins.ts";
import { voltRows } from "../../host/wiring/input-volts.ts";
import {
	type Netlist,
	readNetlist,
	type WiringFile,
	withIndex,
} from "../../host/wiring/netlist.ts";
import { type RuleName, ruleNames, rules, wiringProblems } from "../../host/wiring/rules.ts";
import { loadParts, loadWiring } from "../../host/wiring/wiring-set.ts";
import { exampleRig, pins, root } from "../stories/world.ts";
import { limits, spreadOf } from "./dead-man-parts.ts";

const { list } = loadWiring(root);
const { rows } = loadParts(root, loadWiring(root));
const ratingOf = (id: string) => rows.find(({ wired }) => wired?.includes(id))?.rating ?? "";
const text = readInputFile(`${root}/hardware/wiring.yaml`);

type Mutable<T> = { -readonly [K in keyof T]: Mutable<T[K]> };
type Spoil = (file: Mutable<WiringFile>, map: Mutable<PinMap>) => void;
/** A copy with something done to it. */
function spoilt(change: Spoil): Netlist {
	const { zones, functions, parts, plugs, nets, invented } = list;
	const file: Mutable<WiringFile> = structuredClone({
		invented,
		zones,
		functions,
		parts,
		plugs,
		nets,
	});
	const map: Mutable<PinMap> = structuredClone(pins);
	change(file, map);
	return withIndex(file, map);
}

type File = Mutable<WiringFile>;
const net = ({ nets }: File, number: number) => {
	const found = nets.find((one) => one.net === number);
	if (found === undefined) throw new Error(`no net ${number}`);
	return found;
};
const part = ({ parts }: File, id: string) => {
	const found = parts[id];
	if (found === undefined) throw new Error(`no part ${id}`);
	return found;
};
const drop = (file: File, end: string) => {
	for (const one of file.nets) one.ends = one.ends.filter((other) => other !== end);
};
const move = (file: File, end: string, to: number) => {
	drop(file, end);
	net(file, to).ends.push(end);
};
const add = (file: File, id: string, like: string, change: object, at: Record<string, number>) => {
	file.parts[id] = { ...part(file, like), ref: "Y1", ...change };
	for (const [terminal, number] of Object.entries(at)) {
		net(file, number).ends.push(`${id}.${terminal}`);
	}
};
const swap = (file: File, a: string, b: string) => {
	for (const one of file.nets) {
		one.ends = one.ends.map((end) => (end === a ? b : end === b ? a : end));
	}
};

/** Each spoils the wiring, or the pin map, in one thing. */
const canaries: Record<RuleName, Spoil> = {
	"two-ends": (file) => {
		file.parts.spare = { ...part(file, "bond-tube"), ref: "Y1" };
		file.nets.push({ ...net(file, 90), net: 91, ends: ["spare.point"] });
	},
	"one-net": (file) => net(file, 44).ends.push("flow-meter.minus"),
	"fuse-at-source": (file) => {
		net(file, 1).metres = 2;
	},
	"conductor-for-fuse": (file) => {
		net(file, 2).mm2 = 0.5;
	},
	"current-within-rating": (file) => {
		part(file, "lamp-pump").amps = 1;
	},
	"fuse-outlasts-start": (file) => {
		part(file, "pump").stallAmps = 11;
		part(file, "pump-flyback").amps = 20;
	},
	"flyback-path": (file) => swap(file, "k1-flyback.anode", "k1-flyback.cathode"),
	"power-path": (file) => {
		swap(file, "contact-k1.common", "contact-k2.common");
		swap(file, "contact-k1.make", "contact-k2.make");
	},
	"shunt-for-pump": (file) => move(file, "lamp-pump.plus", 4),
	"k2-loop": (file) => {
		move(file, "contact-k2.coil-plus", 9);
		move(file, "k2-flyback.cathode", 9);
		move(file, "return-switch.pole-in", 16);
	},
	"spikes-held": (file) => {
		part(file, "suppressor").clampVolts = 30;
	},
	"driven-once": (file) =>
		add(file, "second", "vacuum-transducer", {}, { plus: 41, minus: 42, signal: 59 }),
	"channels-wired": (file) => {
		part(file, "monitor").channels = ["supply-volts"];
	},
	"pull-downs": (file) => move(file, "pull-horn.b", 7),
	"series-resistors": (file) => {
		const series = part(file, "series-flow");
		delete series.of;
		series.ohm = 100;
	},
	"inputs-held": (file) => {
		delete file.parts["pull-flow"];
		drop(file, "pull-flow.a");
		drop(file, "pull-flow.b");
	},
	"volts-in-range": (_, map) => {
		const tray = map.channels.tray;
		if (tray?.kind !== "analog" || tray.loop === undefined) throw new Error("no loop");
		tray.loop.endOfLineOhm = 1000;
	},
	"inputs-guarded": (file) => {
		part(file, "guard-tray").ohm = 1000;
	},
	"own-channel": (file) => swap(file, "stop-button.loop-out", "tray-sensor.out"),
	beat: (file) => {
		const change = { of: undefined, ohm: 20_000 };
		add(file, "tap", "pull-horn", change, { a: 25, b: 42 });
	},
	"test-plugs": ({ plugs }) => {
		const plug = plugs["stop-plug"];
		if (plug !== undefined) plug.ends = ["stop-button.pole-in", "stop-button.pole-out"];
	},
	bus: (file) => {
		part(file, "pull-sda").ohm = 100_000;
	},
	"one-ground-joint": (file) => add(file, "second-link", "ground-link", {}, { a: 7, b: 42 }),
	bonding: (file) => move(file, "bond-tube.point", 42),
};

describe("the wiring", () => {
	it("keeps every rule", () => {
		expect(wiringProblems(list)).toEqual([]);
	});

	it.each(ruleNames)("%s: a wiring that breaks it is found by it alone", (name) => {
		const problems = wiringProblems(spoilt(canaries[name]));
		expect(problems).not.toEqual([]);
		expect(problems.filter((line) => !line.startsWith(`${name}: `))).toEqual([]);
	});

	it.each<[string, RuleName, (file: File) => void, RegExp]>([
		[
			"a wire round K2",
			"power-path",
			(f) => add(f, "b", "ground-link", {}, { a: 4, b: 5 }),
			/K2|k2/,
		],
		[
			"K2's other end held by another driver",
			"k2-loop",
			(f) => add(f, "held", "driver-horn", {}, { gate: 28, drain: 11, source: 7 }),
			/held\.drain can hold K2/,
		],
		[
			"a wire round stop button and return switch",
			"k2-loop",
			(f) => add(f, "bypass", "ground-link", {}, { a: 8, b: 16 }),
			/before K2's coil: isolator, control-fuse; asked/,
		],
		[
			"a wire round the pressure switch",
			"k2-loop",
			(f) => add(f, "bypass", "ground-link", {}, { a: 10, b: 16 }),
			/stop-button, return-switch; asked/,
		],
		[
			"a diode that feeds K2 past its loop",
			"k2-loop",
			(f) => add(f, "leak", "k1-flyback", {}, { anode: 8, cathode: 16 }),
			/leak\.cathode hangs on the wire of pressure-switch/,
		],
		[
			"a diode that holds K2 beside the dead-man",
			"k2-loop",
			(f) => add(f, "leak", "k1-flyback", {}, { anode: 11, cathode: 7 }),
			/leak\.anode can hold K2/,
		],
		[
			"another relay's coil on K2's",
			"k2-loop",
			(f) => move(f, "contact-k1.coil-minus", 11),
			/contact-k1\.coil-minus can hold K2/,
		],
		[
			"a diode that feeds the pump past its contacts",
			"power-path",
			(f) => add(f, "leak", "pump-flyback", {}, { anode: 3, cathode: 6 }),
			/leak\.cathode hangs on the wire of contact-k1\.make/,
		],
		[
			"a second pull-down of the beat",
			"pull-downs",
			(f) => {
				const of = { channel: "dead-man-beat", value: "pullDownOhm" };
				add(f, "second", "pull-horn", { of }, { a: 25, b: 42 });
			},
			/dead-man-beat has 2 pull-downs/,
		],
		[
			"the probe's wire straight at its pin",
			"series-resistors",
			(f) => move(f, "bowl-probe.minus", 30),
			/probe-minus leaves the box/,
		],
		[
			"too few ohms between pin and probe",
			"series-resistors",
			(f) => {
				const series = part(f, "series-probe-minus");
				delete series.of;
				series.ohm = 1000;
			},
			/probe-minus leaves the box/,
		],
		[
			"a transducer fed past the sensor fuse",
			"volts-in-range",
			(f) => move(f, "vacuum-transducer.plus", 40),
			/vacuum-transducer is not fed/,
		],
		[
			"no return switch",
			"k2-loop",
			(f) => move(f, "contact-k2.coil-plus", 9),
			/stop-button; asked/,
		],
		[
			"the computer fed without a fuse",
			"fuse-at-source",
			(f) => move(f, "regulator.in", 1),
			/regulator/,
		],
		[
			"a thin return",
			"conductor-for-fuse",
			(f) => {
				net(f, 7).mm2 = 0.5;
			},
			/net 7/,
		],
		[
			"a small contact",
			"current-within-rating",
			(f) => {
				part(f, "contact-k1").contactAmps = 5;
			},
			/K1/,
		],
		[
			"the horn over the sensors' 0 V",
			"one-ground-joint",
			(f) => move(f, "dead-man.0V", 42),
			/dead-man/,
		],
		[
			"a second pin on a wire",
			"driven-once",
			(f) => move(f, "board.horn", 26),
			/lamp-pump and board\.horn/,
		],
		["a channel on no wire", "channels-wired", (f) => drop(f, "board.tray"), /tray is wired 0/],
		[
			"a pull-up at 12 V",
			"own-channel",
			(f) => move(f, "pull-stop.a", 8),
			/pull-stop does not pull stop-loop up/,
		],
		[
			"a switch that leads back to the wrong 0 V",
			"own-channel",
			(f) => move(f, "tube-switch.back", 7),
			/tube-switch\.back is not on/,
		],
		[
			"a guard's foot on 5 V",
			"own-channel",
			(f) => move(f, "guard-probe.foot", 41),
			/guard-probe\.foot/,
		],
		[
			"a suppressor that leads to no minus",
			"spikes-held",
			(f) => move(f, "suppressor.anode", 8),
			/no suppressor/,
		],
		[
			"a return fitting that is not bonded",
			"bonding",
			(f) => move(f, "bond-return.point", 42),
			/return/,
		],
		["no beat", "beat", (f) => drop(f, "dead-man.beat"), /misses the dead-man/],
	])("%s is found", (_, name, change, says) => {
		expect(rules[name].check(spoilt(change)).join()).toMatch(says);
	});

	it("has the pump, the fuse and the cable of the example rig", () => {
		const { pump, supply } = exampleRig();
		expect(list.parts.pump).toMatchObject({
			runAmps: pump.runningAmps,
			stallAmps: pump.stallAmps,
		});
		expect(list.parts["main-fuse"]?.amps).toBe(supply.fuseA);
		const feed = list.netAt.get("main-fuse.out");
		expect([feed?.mm2, feed?.metres]).toEqual([supply.cableMm2, supply.cableMetres]);
	});

	it("has coils that the dead-man was simulated with, cold, hot and at 15 V", () => {
		const coil = spreadOf("rcoil");
		const [, low, high] = /coil 12 V of (\d+) to (\d+) Ω/.exec(ratingOf("contact-k2")) ?? [];
		// Copper, 0.39 % per kelvin from 20 °C: -10 °C, and 60 °C with 50 K of its own.
		expect(Number(low) * (1 - 0.0039 * 30)).toBeGreaterThanOrEqual(coil.least);
		expect(Number(high) * (1 + 0.0039 * 90)).toBeLessThanOrEqual(coil.most);
		for (const id of ["contact-k1", "contact-k2"]) {
			expect(list.parts[id]?.coilAmps).toBeGreaterThanOrEqual(15 / coil.least);
		}
		expect(ratingOf("contact-k2")).toContain(`pulls in at ${limits.pullInVolts} V or less`);
	});

	it("has a test plug of the loops' own series resistor, the same for both", () => {
		const blind = Object.values(list.plugs).flatMap(({ blinds }) => {
			const channel = blinds === undefined ? undefined : pins.channels[blinds];
			return channel !== undefined && "loop" in channel ? [channel.loop?.seriesOhm] : [];
		});
		expect(blind.length).toBe(2);
		const [rating = ""] = rows.flatMap((row) =>
			/^Test plug/.test(row.function) ? [row.rating] : [],
		);
		for (const ohm of blind) expect(rating).toContain(`${(ohm ?? 0) / 1e3} kΩ`);
	});

	it("reads a closed loop at 1.6 V and an open one at 3.0 V, worked by hand", () => {
		const rows = voltRows(list).filter(({ channel }) => channel === "stop-loop");
		const middle = rows.map(({ min, max }) => ((min + max) / 2).toFixed(1));
		// 5 V · 4.7 / 14.7 and 5 V · 14.7 / 24.7.
		expect(middle).toEqual(["0.0", "1.6", "3.0", "5.0"]);
	});
});

describe("the reader of the wiring", () => {
	const refusal = (from: string | RegExp, to: string) => () => {
		const changed = text.replace(from, to);
		expect(changed).not.toBe(text);
		return readNetlist(changed, "wiring.yaml", pins);
	};
	it.each<[string, string | RegExp, string, RegExp]>([
		[
			"a part that is not there",
			"board.tray,",
			"board.trays,",
			/wiring\.yaml:\d+:\d+ .*one of usb/,
		],
		["a net end without a part", "[board.tray,", "[bord.tray,", /bord\.tray.*a part of this/],
		["a part named like a pin", "ref: U3", "ref: A3", /a letter but A and D/],
		["two parts of one name", "ref: K2", "ref: K1", /a reference used once/],
		["two nets of one number", "net: 61", "net: 60", /wiring\.yaml:\d+:\d+ .*a number used once/],
		["a key that the kind has not", "standoffVolts: 16", "stallAmps: 3", /no stallAmps for a supp/],
		["a lacking key", /amps: 5\n/, "\n", /a fuse with amps/],
		[
			"an unknown channel",
			"channel: stop-loop",
			"channel: stop-lop",
			/a channel; stop-lop is none/,
		],
		[
			"a value that the pin map has not",
			"value: loop.pullUpOhm",
			"value: loop.endOhm",
			/resistance/,
		],
		["an unknown function", /function: pump$/m, "function: pomp", /a function of this file/],
		["no number where one belongs", /metres: 4$/m, "metres: far", /wiring\.yaml:\d+:\d+ .*metres/],
	])("refuses %s", (_, from, to, says) => {
		expect(refusal(from, to)).toThrow(says);
	});
});
