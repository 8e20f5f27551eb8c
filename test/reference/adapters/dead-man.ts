// Group 14: the dead-man's charge pump, as a circuit and as ideal charge sharing. The rows give
// its parts the way a circuit simulator is told them.

import { DEAD_MAN, edgeRiseVolts } from "../../../sim/dead-man.ts";
import {
	type ChargePump,
	type Diode,
	type Release,
	release,
	singleEdge,
} from "../../../sim/physics/charge-pump.ts";
import type { Adapter, Inputs } from "../adapter.ts";
import { one, over } from "../given.ts";

/** Diodes that the rows name; their parameters stand in the rows' source. RS of DS: none given. */
const DIODES: Readonly<Record<string, Diode>> = {
	DX: { saturationAmps: 2.52e-9, ideality: 1.752, seriesOhm: 0.568 },
	DS: { saturationAmps: 1e-6, ideality: 1.05, seriesOhm: 0 },
};

function pump(parts: Inputs, shared: Inputs = parts): ChargePump {
	const diode = DIODES[String(parts.d)];
	if (diode === undefined) throw new Error(`no diode ${String(parts.d)}`);
	return {
		sourceOhm: one(shared, ["source_R_ohm", 100]),
		c1Farad: one(parts, "c1"),
		c2Farad: one(parts, "c2") + one(shared, ["gate_C_F", 1e-9]),
		bleedOhm: one(parts, "r2"),
		diode,
	};
}

/** Each row's circuit is run once, however many of its fields are asked. */
const released = new WeakMap<Inputs, Release>();

function releaseOf(inputs: Inputs): Release {
	const known = released.get(inputs);
	if (known !== undefined) return known;
	const found = stopped(inputs, one(inputs, ["threshold_V", 2]));
	released.set(inputs, found);
	return found;
}

function stopped(inputs: Inputs, thresholdVolts: number): Release {
	return release(pump(inputs), {
		driveVolts: one(inputs, ["V_drive", 5]),
		hz: one(inputs, "f_Hz"),
		duty: one(inputs, ["duty", 0.5]),
		pulses: one(inputs, ["pulses_before_stop", 60]),
		stuckHigh: inputs.stuck_level_after_stop === "high",
		thresholdVolts,
	});
}

const edgesOf = (
	inputs: Inputs,
	thresholdVolts: number,
	shown: (edge: ReturnType<typeof singleEdge>) => number,
) =>
	Object.values(inputs.sets ?? {}).map((parts: Inputs) =>
		shown(singleEdge(pump(parts, inputs), one(inputs, ["V_drive", 5]), thresholdVolts)),
	);

export const deadManAdapters: readonly Adapter[] = [
	{
		group: 14,
		needs: ["c1", "c2", "r2", "d", "f_Hz"],
		answers: {
			gate_max_running_V: (inputs) => releaseOf(inputs).gateMaxVolts,
			gate_min_running_V: (inputs) => releaseOf(inputs).gateMinVolts,
			gate_at_last_edge_V: (inputs) => releaseOf(inputs).lastEdgeVolts,
		},
		patterns: [
			{
				field: /^t_last_edge_to_([\d.]+)V_s$/,
				answer: (inputs, [, volts]) =>
					Number(volts) === one(inputs, ["threshold_V", 2])
						? releaseOf(inputs).releaseS
						: stopped(inputs, Number(volts)).releaseS,
			},
		],
	},
	{
		group: 14,
		needs: ["sets"],
		answers: {
			gate_peak_V: (inputs) => edgesOf(inputs, 0, ({ gatePeakVolts }) => gatePeakVolts),
		},
		patterns: [
			{
				field: /^time_above_([\d.]+)V_s$/,
				answer: (inputs, [, volts]) => edgesOf(inputs, Number(volts), ({ aboveS }) => aboveS),
			},
		],
	},
	{
		group: 14,
		needs: ["V_drive", "C1", "C2"],
		answers: {
			first_edge_V: (inputs) =>
				over(inputs, ["V_drive", ["VF", 0], "C1", "C2"], (volts = 0, both = 0, c1 = 0, c2 = 0) => {
					// The rows' drop is of both diodes together.
					const parts = { driveVolts: volts, diodeVolts: both / 2, c1Farad: c1, c2Farad: c2 };
					return edgeRiseVolts({ ...DEAD_MAN, ...parts }, 0);
				}),
		},
	},
];
