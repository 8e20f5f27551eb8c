// What commissioning knows of one rig, settled once: its steps, the marks of the parts that each of
// them proves, and how a sensor that is looked at reads as a resistance. Pure.

import { type Bridge, bitsOf, type PinMap, type SupervisedLoop } from "../config/pins.ts";
import type { Rig } from "../config/rig.ts";
import { type Part, partRows } from "./parts.ts";
import { type Step, steps, stepWays } from "./step-ways.ts";
import type { Looked } from "./steps.ts";

/** How a channel's counts become the resistance at its far end. */
export type Ohms =
	| { readonly kind: "loop"; readonly name: string; readonly loop: SupervisedLoop; bits: number }
	| { readonly kind: "bridge"; readonly name: string; readonly bridge: Bridge; bits: number };

export interface ProvingPlan {
	readonly rig: Rig;
	/** Those whose sensors the rig has, in the catalogue's order. */
	readonly steps: readonly Step[];
	/** By the step's place among them. */
	readonly marks: readonly string[];
	readonly places: Readonly<Partial<Record<Step, number>>>;
	readonly ohms: Readonly<Record<Looked, Ohms | null>>;
	/** Under it the motor stands still, over it something blocks it, A. */
	readonly noCurrentA: number;
	readonly overcurrentA: number;
}

const channelOf: Record<Looked, string> = {
	stop: "stop-loop",
	probe: "bowl-probe",
	tray: "tray",
	returnSeat: "return-seat",
	tubeSeat: "tube-seat",
	pressureSwitch: "pressure-switch",
};

export function planProving(rig: Rig, pins: PinMap): ProvingPlan {
	const own = stepsOf(rig);
	const { runningAmps } = rig.pump;
	const looked = Object.entries(channelOf).map(([at, name]) => [at, ohmsOf(name, pins)]);
	return {
		rig,
		steps: own,
		marks: own.map((step) => marksOf(step, rig, pins)),
		places: Object.fromEntries(own.map((step, place) => [step, place])),
		ohms: Object.fromEntries(looked) as ProvingPlan["ohms"],
		noCurrentA: (runningAmps * rig.setpoints.noCurrentPct) / 100,
		overcurrentA: (runningAmps * rig.setpoints.overcurrentPct) / 100,
	};
}

/** The steps whose sensors a rig is fitted with. */
export function stepsOf({ sensors }: Pick<Rig, "sensors">): Step[] {
	return steps.filter((step) => stepWays[step].needs.every((need) => sensors.includes(need)));
}

function ohmsOf(name: string, pins: PinMap): Ohms | null {
	const channel = pins.channels[name];
	if (channel?.kind !== "analog" && channel?.kind !== "converter") return null;
	const bits = bitsOf(channel, pins);
	if (channel.bridge !== undefined) return { kind: "bridge", name, bridge: channel.bridge, bits };
	return channel.loop === undefined ? null : { kind: "loop", name, loop: channel.loop, bits };
}

/** A hash over whatever of rig file and pin map names the parts of a step. */
export function marksOf(step: Step, rig: Rig, pins: PinMap): string {
	const { parts, figures } = stepWays[step];
	const rows = parts.map((part: Part) => partRows[part]);
	const keys = [...rows.flatMap((row) => row.rig), ...figures];
	const names = rows.flatMap((row) => row.channels);
	const marked = [
		...keys.map((key) => [key, valueAt(rig, key)]),
		...names.map((name) => [name, pins.channels[name] ?? null]),
	];
	return fnv1a(JSON.stringify(marked));
}

function valueAt(rig: Rig, key: string): unknown {
	const value = key
		.split(".")
		.reduce<unknown>(
			(inner, name) => (inner as Record<string, unknown> | undefined)?.[name],
			rig as unknown,
		);
	return value ?? null;
}

/**
 * FNV-1a of 32 bits over a text's UTF-16 units, in hexadecimal (Fowler, Noll and Vo; offset and
 * prime from memory). It tells a change from none; nobody is kept out by it.
 */
function fnv1a(text: string): string {
	let hash = 0x811c9dc5;
	for (let i = 0; i < text.length; i += 1) {
		hash ^= text.charCodeAt(i);
		hash = Math.imul(hash, 0x01000193);
	}
	return (hash >>> 0).toString(16).padStart(8, "0");
}
