// What can be wrong with any sensor, channel by channel: wire cut, wires shorted, stuck, drifting,
// noisy. The rows are made here and applied in one place (signals.ts). Names: channel, dash, how.
// Sizes are in % of the channel's full scale: the converter's reference, the monitor's range.

import { optionalSensors } from "../firmware/config/optional-sensors.ts";
import type { TripCode } from "../firmware/cycle/trips.ts";
import type { FaultRow, Invariant } from "./faults.ts";

export const faultKinds = ["cut", "shorted", "stuck", "drifts", "noisy"] as const;
export type FaultKind = (typeof faultKinds)[number];

/** Every input of the pin map; a test holds the two together. */
export const sensorChannels = [
	"flow-pulse",
	"acknowledge-button",
	"stop-loop",
	"bowl-probe",
	...optionalSensors,
	"supply-volts",
	"motor-current",
] as const;
export type SensorChannel = (typeof sensorChannels)[number];

/** A button has no scale that could drift. */
export type SensorFault = Exclude<`${SensorChannel}-${FaultKind}`, "acknowledge-button-drifts">;

/** Trips that answer, or why none does. */
type Answer = readonly TripCode[] | string;

interface ChannelFaults {
	/** In words, with its article. */
	readonly what: string;
	readonly answers: Readonly<Record<FaultKind, Answer>>;
	/** Usual size of a drift, in its unit; its range is as far either way, and half as much again. */
	readonly drift: number;
	/** Usual size of the noise. */
	readonly noise: number;
	readonly unit?: { readonly drift: string; readonly noise: string };
	readonly relaxes?: Readonly<
		Partial<Record<FaultKind, Readonly<Partial<Record<Invariant, string>>>>>
	>;
}

const FULL_SCALE = { drift: "% of full scale", noise: "% of full scale" };
const PROOF = "reads as it did before: dangerous undetected, covered by its proof test";

/** A supervised loop: four voltages, so that both kinds of broken wire show. */
function loop(
	what: string,
	own: TripCode,
	stuck: Answer = PROOF,
	relaxes: ChannelFaults["relaxes"] = {},
): ChannelFaults {
	const answers = {
		cut: ["sensor-fault"],
		shorted: ["sensor-fault"],
		stuck,
		drifts: ["sensor-fault", own],
		noisy: ["sensor-fault", own],
	} as const;
	return { what, answers, drift: 30, noise: 25, relaxes };
}

const NOT_JUDGED = "no trip looks at it: it only tells tube from element in words";
const STRAY = "current from nowhere is taken for a welded contact: the motor's time counts then";
const BUTTON = "nothing starts or goes on by it: what waits for the button waits on";

const channels: Readonly<Record<SensorChannel, ChannelFaults>> = {
	"flow-pulse": {
		what: "the flow meter",
		answers: {
			cut: ["dry-run", "prime-failed"],
			shorted: ["dry-run", "prime-failed"],
			stuck: ["dry-run", "prime-failed"],
			drifts: "nothing else measures the flow: covered by measuring a can",
			noisy: ["flow-when-stopped", "sensor-fault"],
		},
		drift: -12,
		noise: 5,
		unit: { drift: "% of its pulses", noise: "pulses a second more" },
		relaxes: {
			cut: { "litres as pumped": "no pulses, no litres" },
			shorted: { "litres as pumped": "no pulses, no litres" },
			stuck: { "litres as pumped": "no pulses, no litres" },
			drifts: { "litres as pumped": "they are wrong by as much" },
			noisy: {
				"litres as pumped": "pulses from nowhere are counted",
				"no long dry run": "pulses from nowhere look like fuel",
			},
		},
	},
	"acknowledge-button": {
		what: "the box's acknowledge button",
		answers: {
			cut: BUTTON,
			shorted: "a press is an edge: one that never ends acknowledges once at most",
			stuck: BUTTON,
			drifts: BUTTON,
			noisy: "presses from nowhere acknowledge only what is over: each start sounds the horn",
		},
		drift: 0,
		noise: 0.5,
		unit: { drift: "", noise: "presses a second" },
	},
	"stop-loop": loop(
		"the stop button's second pole",
		"stop-button",
		"the first pole cuts K2 without it: the pump stops all the same",
	),
	"bowl-probe": {
		what: "the water probe",
		answers: {
			cut: ["sensor-fault"],
			shorted: ["sensor-fault"],
			stuck: ["sensor-fault"],
			drifts: ["sensor-fault", "water-in-bowl"],
			noisy: ["sensor-fault", "water-in-bowl"],
		},
		drift: 20,
		noise: 25,
	},
	vacuum: {
		what: "the vacuum transducer",
		answers: {
			cut: ["sensor-fault"],
			shorted: ["sensor-fault"],
			stuck: ["sensor-fault"],
			drifts: ["suction-blocked", "restriction-high"],
			noisy: ["suction-blocked", "restriction-high", "sensor-fault"],
		},
		drift: -8,
		noise: 10,
	},
	tray: loop("the tray's leak sensor", "leak", PROOF, { stuck: { "no spill": PROOF } }),
	"return-seat": loop(
		"the second pole of the return's switch",
		"return-out",
		"the first pole cuts K2 without it: the pump stops all the same",
	),
	"tube-seat": loop("the tube's switch", "tube-out"),
	"pressure-switch": loop(
		"the pressure switch's sensing wire",
		"discharge-blocked",
		"the switch itself stops the motor: no current and no flow are seen",
	),
	"level-from": {
		what: "the level sender under the tube",
		answers: {
			cut: ["sensor-fault"],
			shorted: ["sensor-fault"],
			stuck: "a tank that is polished keeps its level: harmless but for a transfer",
			drifts: ["wrong-tank", "sensor-fault"],
			noisy: ["sensor-fault", "wrong-tank"],
		},
		drift: -15,
		noise: 15,
	},
	"level-to": {
		what: "the level sender under the return",
		answers: {
			cut: ["sensor-fault"],
			shorted: ["sensor-fault"],
			stuck: "a tank that is polished keeps its level: harmless but for a transfer",
			drifts: ["wrong-tank", "sensor-fault", "destination-full"],
			noisy: ["sensor-fault", "wrong-tank"],
		},
		drift: 15,
		noise: 15,
	},
	"fuel-temperature": {
		what: "the thermistor in the hose",
		answers: {
			cut: ["sensor-fault"],
			shorted: ["sensor-fault"],
			stuck: "fuel cools by a degree an hour at most: covered by its proof test",
			drifts: ["too-cold", "sensor-fault"],
			noisy: ["too-cold", "sensor-fault"],
		},
		drift: 18,
		noise: 20,
	},
	"case-temperature": {
		what: "the thermistor on the motor's case",
		answers: {
			cut: ["sensor-fault"],
			shorted: ["sensor-fault"],
			stuck: PROOF,
			drifts: ["motor-hot", "sensor-fault", "time-limit"],
			noisy: ["motor-hot", "sensor-fault", "time-limit"],
		},
		drift: -30,
		noise: 25,
		relaxes: {
			stuck: { "motor within its heat": PROOF },
			drifts: { "motor within its heat": "it reads colder than it is" },
		},
	},
	"bowl-tap": {
		what: "the pressure tap between bowl and element",
		answers: {
			cut: ["sensor-fault"],
			shorted: ["sensor-fault"],
			stuck: NOT_JUDGED,
			drifts: NOT_JUDGED,
			noisy: NOT_JUDGED,
		},
		drift: -8,
		noise: 10,
	},
	"supply-volts": {
		what: "the volts of the current monitor",
		answers: {
			cut: ["sensor-fault"],
			shorted: ["sensor-fault", "board-lost"],
			stuck: "a battery that sinks reads as before: covered by its proof test",
			drifts: ["supply-low"],
			noisy: ["supply-low", "supply-high"],
		},
		drift: -9,
		noise: 12,
		relaxes: {
			stuck: { "supply above its floor": PROOF },
			drifts: { "supply above its floor": "it reads more than there is" },
		},
	},
	"motor-current": {
		what: "the amps of the current monitor",
		answers: {
			cut: ["sensor-fault"],
			shorted: ["sensor-fault", "board-lost"],
			stuck: ["relay-stuck", "no-current"],
			drifts: ["relay-stuck", "overcurrent"],
			noisy: ["relay-stuck", "overcurrent", "no-current"],
		},
		drift: 8,
		noise: 15,
		relaxes: {
			stuck: { "hours as pumped": STRAY },
			drifts: { "hours as pumped": STRAY },
			noisy: { "hours as pumped": STRAY },
		},
	},
};

/** What each kind does to a wire, in words that follow the channel's. */
const says: Readonly<Record<FaultKind, string>> = {
	cut: "has a cut wire",
	shorted: "has its wires shorted at the box",
	stuck: "says for ever what it says now",
	drifts: "has moved by a part of its scale",
	noisy: "picks up noise",
};

function rowOf(channel: SensorChannel, kind: FaultKind): FaultRow {
	const { what, answers, drift, noise, unit = FULL_SCALE, relaxes } = channels[channel];
	const answer = answers[kind];
	const far = Math.abs(1.5 * drift);
	const size =
		kind === "drifts"
			? { unit: unit.drift, min: -far, usual: drift, max: far }
			: { unit: unit.noise, min: noise / 10, usual: noise, max: 4 * noise };
	const relaxed = relaxes?.[kind];
	return {
		what: `${what} ${says[kind]}`,
		...(kind === "drifts" || kind === "noisy" ? { size } : {}),
		...(typeof answer === "string" ? { trips: [], unseen: answer } : { trips: answer }),
		...(relaxed === undefined ? {} : { relaxes: relaxed }),
	};
}

const names = sensorChannels.flatMap((channel) =>
	faultKinds
		.map((kind) => ({ name: `${channel}-${kind}` as const, channel, kind }))
		.filter(({ name }) => name !== "acknowledge-button-drifts"),
);

export const sensorFaults = names.map(({ name }) => name) as readonly SensorFault[];

/** One row a fault, as the others of faults.ts. */
export const sensorFaultRows = Object.fromEntries(
	names.map(({ name, channel, kind }) => [name, rowOf(channel, kind)]),
) as Readonly<Record<SensorFault, FaultRow>>;

const known: ReadonlySet<string> = new Set(Object.keys(sensorFaultRows));

export const isSensorFault = (name: string): name is SensorFault => known.has(name);

/** The channel that a fault is of. */
export const channelOf = (fault: SensorFault): string => fault.slice(0, fault.lastIndexOf("-"));

/** The faults of one channel by their kind; null for one that it cannot have. */
export function faultsOf(channel: string): Readonly<Record<FaultKind, SensorFault | null>> {
	const one = (kind: FaultKind) => {
		const fault = `${channel}-${kind}`;
		return isSensorFault(fault) ? fault : null;
	};
	return {
		cut: one("cut"),
		shorted: one("shorted"),
		stuck: one("stuck"),
		drifts: one("drifts"),
		noisy: one("noisy"),
	};
}
