// Draws what breaks in a story: which faults, when, how large, how slowly. The first goes round the
// whole list by the seed, so that a row of seeds leaves none out; others join it at random.

import type { OptionalSensor } from "../../../firmware/config/optional-sensors.ts";
import { optionalSensors } from "../../../firmware/config/optional-sensors.ts";
import { type Fault, faultRows, faults } from "../../faults.ts";
import { channelOf, isSensorFault } from "../../sensor-faults.ts";
import type { Scenario } from "../scenario.ts";
import { type Dice, rounded } from "./dice.ts";

export type DrawnFault = Scenario["faults"][number];

/** The layers behind all others: two of them gone at once is more than the rig is built for. */
const LAST_LAYERS: readonly Fault[] = [
	"k1-welded",
	"k2-welded",
	"beat-forged",
	"controller-hangs",
	"board-stops-answering",
	"board-resets",
	"board-browns-out",
	"usb-unplugged",
	"serial-bytes-lost",
];

/** Names of a story's faults, each once. */
export function drawFaults(dice: Dice, seed: number): Fault[] {
	const first = faults[seed % faults.length];
	const drawn = first === undefined ? [] : [first];
	const number = dice.chance(60) ? 1 : dice.chance(75) ? 2 : 3;
	while (drawn.length < number) {
		const next = faults[dice.whole(0, faults.length - 1)];
		if (next === undefined || drawn.includes(next)) continue;
		const isLast = LAST_LAYERS.includes(next);
		if (isLast && drawn.some((fault) => LAST_LAYERS.includes(fault))) continue;
		drawn.push(next);
	}
	return drawn;
}

/** Sensors that a rig must have for these faults to mean anything. */
export function neededBy(drawn: readonly Fault[]): OptionalSensor[] {
	return optionalSensors.filter((name) =>
		drawn.some((fault) => isSensorFault(fault) && channelOf(fault) === name),
	);
}

/**
 * When and how it strikes: as a rule while the pump runs, sometimes in a start or in a rest.
 * @param pumpMinutes about as long as the order pumps
 * @param restMinutes of the pump's rating; 0 where the order comes to no rest
 */
export function drawOnset(
	dice: Dice,
	fault: Fault,
	{ pumpMinutes, restMinutes }: { pumpMinutes: number; restMinutes: number },
): DrawnFault {
	const { size } = faultRows[fault];
	const grows = size !== undefined && size.atOnce !== true && dice.chance(35);
	return {
		fault,
		...drawMoment(dice, pumpMinutes, restMinutes),
		...(size === undefined ? {} : { size: drawSize(dice, size) }),
		...(grows ? { overSeconds: Math.round(dice.scaled(5, 1_800)) } : {}),
	};
}

function drawMoment(dice: Dice, pumpMinutes: number, restMinutes: number) {
	const everyTime = false;
	const spread = (seconds: number) => rounded(dice.share() * seconds);
	if (dice.chance(15))
		return { uponState: "priming", afterSeconds: spread(25), everyTime } as const;
	if (restMinutes > 0 && dice.chance(15)) {
		return { uponState: "resting", afterSeconds: spread(50 * restMinutes), everyTime } as const;
	}
	// The order's last third is left out: it may go faster than reckoned.
	return { uponState: "polishing", afterSeconds: spread(40 * pumpMinutes), everyTime } as const;
}

/** A third of the usual size, two thirds anywhere in the row's range. */
function drawSize(dice: Dice, { min, usual, max }: { min: number; usual: number; max: number }) {
	if (dice.chance(33)) return usual;
	const isOneSided = min > 0;
	return rounded(isOneSided ? dice.scaled(min, max) : dice.between(min, max));
}
