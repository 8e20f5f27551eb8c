// Which hazards the rig's own sensors cover, from its file, and which of them nobody may leave it
// alone with. Pure. A row's name is the hazard's in hardware/hazards.yaml; a test holds the two
// together. What is always there (stop button, probe, meter, current and volts) is not asked for.

import type { OptionalSensor } from "../config/optional-sensors.ts";
import type { Rig } from "../config/rig.ts";

export interface CoverageRow {
	/** What goes wrong when nothing sees it. */
	readonly words: string;
	/** Each must be fitted. */
	readonly needs: readonly OptionalSensor[];
	/** What the rig must have beside sensors, in words, or null when it has it. */
	readonly lacks?: (rig: Rig) => string | null;
	/** Without it an order that nobody attends is refused. */
	readonly unattended: boolean;
}

const reliefOf = ({ pump }: Rig) =>
	pump.pressureSwitchKpa === undefined || pump.bypassKpa === undefined
		? "pump.pressureSwitchKpa and pump.bypassKpa (a switch, and a relief to the tank)"
		: null;

const rows = {
	"suction-blocked": {
		words: "the tube is drawn to a wall or into sludge, or the element plugs",
		needs: ["vacuum"],
		unattended: true,
	},
	"hose-leaks": {
		words: "a hose or joint lets fuel into the boat",
		needs: ["tray"],
		unattended: true,
	},
	"return-falls-out": {
		words: "the return falls out of the filler and the tank is pumped into the boat",
		needs: ["return-seat", "level-from"],
		unattended: true,
	},
	"return-in-another-tank": {
		words: "the return hangs in another tank, which overflows",
		needs: ["level-from", "level-to"],
		unattended: true,
	},
	"tank-overflows": {
		words: "the tank that is filled overflows",
		needs: ["level-to"],
		unattended: true,
	},
	"vent-blocked": {
		words: "a tank is emptied against a blocked vent",
		needs: ["vacuum", "level-from"],
		unattended: true,
	},
	"tube-moved": {
		words: "somebody moves the tube between two runs",
		needs: ["tube-seat"],
		unattended: true,
	},
	"fuel-cold": {
		words: "wax or ice forms while nobody looks",
		needs: ["fuel-temperature"],
		unattended: true,
	},
	"motor-overheats": {
		words: "the motor grows too hot",
		needs: ["case-temperature"],
		unattended: true,
	},
	"discharge-shut": {
		words: "the pump works against a shut return",
		needs: ["pressure-switch"],
		lacks: reliefOf,
		unattended: true,
	},
	"tube-or-element": {
		words: "a blocked tube is taken for a plugged element",
		needs: ["vacuum", "bowl-tap"],
		unattended: false,
	},
} as const satisfies Record<string, CoverageRow>;

export type CoveredHazard = keyof typeof rows;

export const coverageRows: Readonly<Record<CoveredHazard, CoverageRow>> = rows;

export interface Coverage {
	readonly hazard: CoveredHazard;
	readonly words: string;
	readonly covered: boolean;
	/** Sensors, or words for what else is missing. */
	readonly missing: readonly string[];
	readonly unattended: boolean;
}

/** Every row with what this rig has and lacks. */
export function coverageOf(rig: Rig): Coverage[] {
	return (Object.keys(rows) as CoveredHazard[]).map((hazard) => {
		const { words, needs, lacks, unattended } = coverageRows[hazard];
		const sensors = needs.filter((sensor) => !rig.sensors.includes(sensor));
		const other = lacks?.(rig) ?? null;
		const missing = other === null ? sensors : [...sensors, other];
		return { hazard, words, covered: missing.length === 0, missing, unattended };
	});
}

/** Why this rig may not be left alone, one reason a hazard; empty when it may. */
export function coverageGaps(rig: Rig): string[] {
	return coverageOf(rig)
		.filter(({ covered, unattended }) => unattended && !covered)
		.map(({ hazard, missing }) => `${hazard} is not covered: fit ${missing.join(", ")}`);
}
