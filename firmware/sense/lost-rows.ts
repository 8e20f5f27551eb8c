// Channels that say nothing sensible, a row each: those that no pump may run without, and those
// that only stop what nobody attends.

import type { OptionalSensor } from "../config/optional-sensors.ts";
import type { Rig } from "../config/rig.ts";
import type { FindingName } from "./finding-names.ts";
import type { Row } from "./finding-row.ts";
import { isUnknown } from "./quantity.ts";
import type { Sensed } from "./sensed.ts";

type Lost = readonly [sensor: string, value: (sensed: Sensed) => number | string, always: boolean];

/** A channel that says nothing sensible. Those that always count trip any order. */
export function lost([sensor, value, always]: Lost, rig: Rig): Row {
	return {
		seen: (sensed) => isUnknown(value(sensed)),
		onMs: rig.setpoints.sensorLostMs,
		offMs: rig.setpoints.sensorLostMs,
		loses: { sensor, value, always },
		event: (on, atMs, sensed) => {
			if (!on) return null;
			const cause = `${sensor} reads ${value(sensed)}`;
			const trip = { type: "trouble", atMs, code: "sensor-fault", cause } as const;
			return always ? trip : { ...trip, unattendedOnly: true };
		},
	};
}

/** Optional channels by the finding that says they are lost. */
const optional = {
	vacuumLost: ["vacuum", ({ vacuumKpa }) => vacuumKpa],
	trayLost: ["tray", ({ tray }) => tray],
	returnSeatLost: ["return-seat", ({ returnSeat }) => returnSeat],
	tubeSeatLost: ["tube-seat", ({ tubeSeat }) => tubeSeat],
	pressureSwitchLost: ["pressure-switch", ({ pressureSwitch }) => pressureSwitch],
	levelFromLost: ["level-from", ({ levelFrom }) => levelFrom],
	levelToLost: ["level-to", ({ levelTo }) => levelTo],
	fuelTemperatureLost: ["fuel-temperature", ({ fuelC }) => fuelC],
	caseTemperatureLost: ["case-temperature", ({ caseC }) => caseC],
	bowlTapLost: ["bowl-tap", ({ bowlTapKpa }) => bowlTapKpa],
} as const satisfies Partial<
	Record<FindingName, readonly [OptionalSensor, (sensed: Sensed) => number | string]>
>;

/** Rows of the optional channels that this rig has. */
export function optionalRows(rig: Rig): Array<readonly [FindingName, Row]> {
	return (Object.keys(optional) as Array<keyof typeof optional>).flatMap((name) => {
		const [sensor, value] = optional[name];
		return rig.sensors.includes(sensor) ? [[name, lost([sensor, value, false], rig)] as const] : [];
	});
}
