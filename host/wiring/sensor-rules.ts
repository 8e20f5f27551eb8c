// The rule of what stands at the far end of an input: each sensor on its own channel's wire, its
// return on the sensors' 0 V, its pull-up at the sensors' 5 V, its guard's capacitor to 0 V. Pure.

import { endOf, type Net, type Netlist, ofKind } from "./netlist.ts";

/** Which terminal of a sensor says its value, and which leads back to the sensors' 0 V. */
const TERMINALS: Readonly<Record<string, readonly [signal: string, back: string | null]>> = {
	"stop-button": ["loop-out", "loop-back"],
	"seat-switch": ["loop-out", "loop-back"],
	"pressure-switch": ["loop-out", "loop-back"],
	"loop-end": ["out", "back"],
	thermistor: ["a", "b"],
	gauge: ["signal", "minus"],
	"level-sender": ["signal", "minus"],
	"flow-meter": ["pulse", "minus"],
	// Its other pin is driven in turn and leads back to no bar.
	probe: ["plus", null],
};

/** The wire that leads from a channel's guard, or from its series resistor, to its sensor. */
function wireOf(list: Netlist, channel: string): Net | undefined {
	const kind = list.pins.channels[channel]?.kind;
	const chip = kind === "converter" ? "converter" : "board";
	const at = list.netAt.get(`${chip}.${channel}`);
	const ends = (at?.ends ?? []).map((end) => endOf(list, end));
	const [id] = ends.flatMap(({ id: one, part }) => (part.kind === "guard" ? [one] : []));
	if (id !== undefined) return list.netAt.get(`${id}.wire`);
	const [series] = ends.filter(({ part }) => part.kind === "resistor");
	if (series === undefined) return undefined;
	return list.netAt.get(`${series.id}.${series.terminal === "a" ? "b" : "a"}`);
}

export function sensorsAtTheirChannel(list: Netlist): string[] {
	const zero = list.netAt.get("board.0V");
	const five = list.netAt.get("sensor-fuse.out");
	const feet = ofKind(list, "guard").flatMap((id) =>
		list.netAt.get(`${id}.foot`) === zero ? [] : [`${id}.foot is not on the sensors' 0 V`],
	);
	const parts = Object.entries(list.parts).flatMap(([id, { channel, of, kind }]) => {
		if (of !== undefined && /pullUpOhm$/.test(of.value)) {
			const nets = [list.netAt.get(`${id}.a`), list.netAt.get(`${id}.b`)];
			const fits = nets.includes(five) && nets.includes(wireOf(list, of.channel));
			return fits ? [] : [`${id} does not pull ${of.channel} up to the sensors' 5 V`];
		}
		const terminals = TERMINALS[kind];
		if (channel === undefined || terminals === undefined) return [];
		const [signal, back] = terminals;
		const wire = wireOf(list, channel);
		const isOn = wire !== undefined && list.netAt.get(`${id}.${signal}`) === wire;
		const isBack = back === null || list.netAt.get(`${id}.${back}`) === zero;
		return [
			...(isOn ? [] : [`${id}.${signal} is not on the wire of ${channel}`]),
			...(isBack ? [] : [`${id}.${back} is not on the sensors' 0 V`]),
		];
	});
	return [...feet, ...parts];
}
