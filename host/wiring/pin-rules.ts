// The rules of pins and wires: each terminal on one net, nothing driven twice, pull-downs and
// series resistors, every channel wired, the beat for the dead-man alone, bonding. Pure.

import { CLAMP_A, REFERENCE_SHARE, touchAmps } from "./input-volts.ts";
import { endOf, type Net, type Netlist, ofKind, ohmOf, type Part } from "./netlist.ts";
import { channelTerminals, rowOf, terminalsOf } from "./part-kinds.ts";

const netName = ({ net, name }: Net) => `net ${net} (${name})`;

export function twoEndsEach(list: Netlist): string[] {
	return list.nets.flatMap((net) =>
		net.ends.length >= 2 ? [] : [`${netName(net)} has ${net.ends.length} end`],
	);
}

export function oneNetEach(list: Netlist): string[] {
	const count = new Map<string, number>();
	for (const { ends } of list.nets) for (const e of ends) count.set(e, (count.get(e) ?? 0) + 1);
	return Object.entries(list.parts).flatMap(([id, { kind }]) =>
		terminalsOf(kind, list.pins)
			// Which channels are wired, and where, is a rule of its own.
			.filter((terminal) => !channelTerminals(kind, list.pins).includes(terminal))
			.flatMap((terminal) => {
				const nets = count.get(`${id}.${terminal}`) ?? 0;
				return nets === 1 ? [] : [`${id}.${terminal} is on ${nets} nets`];
			}),
	);
}

/** Whether a terminal puts a level on its wire: a supply, a driver, or an output of the board. */
function drives(list: Netlist, end: string): boolean {
	const { part, terminal } = endOf(list, end);
	const row = rowOf(part.kind);
	if (row.supplies?.includes(terminal) || row.drives?.includes(terminal)) return true;
	return part.kind === "board" && list.pins.channels[terminal]?.kind === "digital-out";
}

export function nothingDrivenTwice(list: Netlist): string[] {
	return list.nets.flatMap((net) => {
		const drivers = net.ends.filter((end) => drives(list, end));
		const pins = net.ends.filter((end) => {
			const { part, terminal } = endOf(list, end);
			return channelTerminals(part.kind, list.pins).includes(terminal);
		});
		return [
			...(drivers.length > 1 ? [`${netName(net)} is driven by ${drivers.join(" and ")}`] : []),
			...(pins.length > 1 ? [`${netName(net)} joins the pins ${pins.join(" and ")}`] : []),
		];
	});
}

export function everyChannelWired(list: Netlist): string[] {
	const wired = list.nets.flatMap(({ ends }) => ends);
	const monitored = ofKind(list, "monitor").flatMap((id) => list.parts[id]?.channels ?? []);
	return [
		...ofKind(list, "board", "converter").flatMap((id) => {
			const kind = list.parts[id]?.kind ?? "board";
			return channelTerminals(kind, list.pins).flatMap((name) => {
				const times = wired.filter((end) => end === `${id}.${name}`).length;
				return times === 1 ? [] : [`channel ${name} is wired ${times} times`];
			});
		}),
		...Object.entries(list.pins.channels).flatMap(([name, { kind }]) => {
			if (kind !== "i2c") return [];
			const times = monitored.filter((one) => one === name).length;
			return times === 1 ? [] : [`channel ${name} has ${times} monitors`];
		}),
	];
}

/** Zero volts of the sensors: what a pull-down has to go to. */
const GROUND = "board.0V";

/** Resistors between a net and another one, with the terminal at its far side. */
function resistorsAt(list: Netlist, net: Net | undefined) {
	return (net?.ends ?? []).flatMap((end) => {
		const { id, part, terminal } = endOf(list, end);
		if (part.kind !== "resistor") return [];
		const far = list.netAt.get(`${id}.${terminal === "a" ? "b" : "a"}`);
		return [{ id, part, far, ohm: ohmOf(part, list.pins) ?? 0 }];
	});
}

export function pullDownEach(list: Netlist): string[] {
	const ground = list.netAt.get(GROUND);
	return ofKind(list, "board").flatMap((board) =>
		Object.entries(list.pins.channels).flatMap(([name, channel]) => {
			if (channel.kind !== "digital-out") return [];
			const net = list.netAt.get(`${board}.${name}`);
			const isOf = ({ of }: Part) => of?.channel === name && of.value === "pullDownOhm";
			const own = resistorsAt(list, net).filter(({ far, part }) => far === ground && isOf(part));
			// A board with one of its own, so that its input is held while the cable is off.
			const brought = (net?.ends ?? []).filter((end) => {
				const { part } = endOf(list, end);
				return part.kind === "dead-man" && isOf(part);
			});
			const downs = own.length + brought.length;
			return downs === 1 ? [] : [`output ${name} has ${downs} pull-downs of the pin map, not one`];
		}),
	);
}

/**
 * An input has nothing at its pin but its resistor. An output whose wire leaves the box, as the
 * probe's does, has one in series too: the wire goes to the resistor and not to the pin.
 */
export function seriesEach(list: Netlist): string[] {
	const high = list.pins.adc.referenceVolts * (1 - REFERENCE_SHARE);
	return ofKind(list, "board").flatMap((board) =>
		Object.entries(list.pins.channels).flatMap(([name, { kind }]) => {
			const net = list.netAt.get(`${board}.${name}`);
			const own = resistorsAt(list, net).filter(({ part }) => part.of?.value !== "pullDownOhm");
			const isSpared = own.every(({ ohm }) => touchAmps(ohm, high) <= CLAMP_A);
			if (kind === "digital-out") {
				const zones = (net?.ends ?? []).map((end) => endOf(list, end).part.zone);
				const isIn = zones.every((zone) => zone === list.parts[board]?.zone);
				return isIn && isSpared ? [] : [`output ${name} leaves the box without enough ohms`];
			}
			if (kind !== "digital-in" && kind !== "pulse") return [];
			const isAlone = own.length === 1 && net?.ends.length === 2;
			return isAlone && isSpared ? [] : [`input ${name} is not behind enough ohms of its own`];
		}),
	);
}

/** An input that no wire holds would read whatever it picks up. */
export function digitalInputsHeld(list: Netlist): string[] {
	const rails = [list.netAt.get(GROUND), list.netAt.get("sensor-fuse.out")];
	return ofKind(list, "board").flatMap((board) =>
		Object.entries(list.pins.channels).flatMap(([name, { kind }]) => {
			if (kind !== "digital-in" && kind !== "pulse") return [];
			const [series] = resistorsAt(list, list.netAt.get(`${board}.${name}`));
			const holds = resistorsAt(list, series?.far).some(({ far }) => rails.includes(far));
			return holds ? [] : [`input ${name} floats while nothing drives it`];
		}),
	);
}

export function beatForDeadManOnly(list: Netlist): string[] {
	const net = list.netAt.get("board.dead-man-beat");
	const others = (net?.ends ?? []).filter((end) => {
		const { part, terminal } = endOf(list, end);
		if (part.kind === "board" && terminal === "dead-man-beat") return false;
		if (part.kind === "dead-man" && terminal === "beat") return false;
		return part.of?.channel !== "dead-man-beat";
	});
	const missing = net?.ends.includes("dead-man.beat") ? [] : ["the beat misses the dead-man"];
	return [...missing, ...others.map((end) => `${end} hangs on the beat`)];
}

/** A test plug where K2's loop runs would bridge a stop: it takes a second pole's place only. */
export function testPlugsBlindOnly(list: Netlist): string[] {
	return Object.values(list.plugs).flatMap(({ ref, ends, blinds }) => {
		if (blinds === undefined) return [];
		const [part = ""] = (ends[0] ?? "").split(".");
		const own = [`${part}.loop-out`, `${part}.loop-back`];
		const isOf = list.parts[part]?.channel === blinds;
		return isOf && ends.join() === own.join() ? [] : [`${ref} takes more than a second pole`];
	});
}

/** Ohm of a pull-up for standard-mode I2C at 5 V; NXP UM10204, 7.1 (from memory). */
const BUS_OHM = { min: 1_600, max: 10_000 };

export function busPulledUp(list: Netlist): string[] {
	const five = list.netAt.get("sensor-fuse.out");
	return ofKind(list, "board").flatMap((board) =>
		["SDA", "SCL"].flatMap((line) => {
			const net = list.netAt.get(`${board}.${line}`);
			const ups = resistorsAt(list, net).filter(({ far }) => far === five);
			const fits = ups.length === 1 && ups.every(({ ohm }) => inside(ohm, BUS_OHM));
			const lost = ofKind(list, "converter", "monitor").filter(
				(id) => list.netAt.get(`${id}.${line}`) !== net,
			);
			return [
				...(fits ? [] : [`${line} has no pull-up of ${BUS_OHM.min} to ${BUS_OHM.max} Ω`]),
				...lost.map((id) => `${id} is not on ${line}`),
			];
		}),
	);
}
const inside = (value: number, { min, max }: { min: number; max: number }) =>
	value >= min && value <= max;

/** A second joint would let the pump's current return through the board and the USB cable. */
export function oneGroundJoint(list: Netlist): string[] {
	const power = list.netAt.get("battery.minus");
	const logic = list.netAt.get(GROUND);
	const links = ofKind(list, "link").filter((id) => {
		const nets = [list.netAt.get(`${id}.a`), list.netAt.get(`${id}.b`)];
		return nets.includes(power) && nets.includes(logic);
	});
	const isOne = links.length === 1 && power !== logic;
	const heavy = (logic?.ends ?? []).filter((end) => {
		const { part, terminal } = endOf(list, end);
		const load = rowOf(part.kind).load;
		if (load?.[1] !== terminal) return false;
		return list.netAt.get(`${end.split(".")[0]}.${load[0]}`)?.function !== "five";
	});
	return [
		...(isOne ? [] : [`0 V of power and of sensors meet at ${links.length} links, not at one`]),
		...heavy.map((end) => `${end} returns a 12 V current over the sensors' 0 V`),
	];
}

export function bonded(list: Netlist): string[] {
	const [tube, ...others] = ["bond-tube", "bond-housing", "bond-return", "bond-filler"].map((id) =>
		list.netAt.get(`${id}.point`),
	);
	const isOne = tube?.function === "bonding" && others.every((net) => net === tube);
	return isOne ? [] : ["tube, housing, return and filler are not on one bonding wire"];
}
