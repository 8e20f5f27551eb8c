// The findings, a row each. Order matters within one tick: what stops the pump soonest stands
// first. A row says when its condition is seen (null: the inputs say nothing either way), for how
// long before it counts, and what it sends. Limits are setpoints; times and shares that no file
// may change stand here with their reason.

import type { Rig } from "../config/rig.ts";
import type { FindingName } from "./finding-names.ts";
import {
	alarm,
	batteries,
	between,
	figure,
	hasMoved,
	isBroken,
	isOver,
	isUnder,
	percent,
	type Row,
	trouble,
} from "./finding-row.ts";
import { alike } from "./finding-shape.ts";
import { lost, optionalRows } from "./lost-rows.ts";
import { restrictionWords, suddenSide } from "./restriction-words.ts";
import { isVentBlocked, VENT_MOVED } from "./vent.ts";

/** The button's contacts settle within it, ms. */
const BUTTON_MS = 50;
/** Who means to arm holds the button for so long, ms; one that is held for longer is jammed. */
const ARM_MS = 3_000;
const JAMMED_MS = 10_000;
/** A board that is back must stay back this long, ms. */
const BOARD_BACK_MS = 400;
/** Gulps that add up: no more than 30 s dry in any 5 min, a bucket's blur allowed for, ms. */
const DRY_IN_ALL_MS = 28_000;
/** A switch that came back must stay back this long before it counts as released, ms. */
const RELEASED_MS = 500;
/** Contacts of tray, seats and pressure switch settle within it, ms. */
const SWITCH_MS = 300;
/** The isolator is open or the fuse has gone: no battery reads so little, V. */
const GONE_VOLTS = 3;
/** No full battery of lithium iron phosphate rests as high, V of 12 (common practice). */
const IRON_PHOSPHATE_CHARGE_VOLTS = 13.5;
/** So much beyond what a slow siphon may give is no dripping and no warming of the hose, L. */
const SIPHON_LITRES = 0.02;
/** A pump gives no more than this over its free flow, at a charging battery's volts. */
const RACE_SHARE = 1.6;
/** Two senders in one tank agree within it, share of the volume. */
const LEVEL_GAP = 0.05;
/** Longer than a roll or a gulp moves a smoothed level, ms. */
const IMBALANCE_MS = 30_000;
/** The fuel must be so much warmer before a held order goes on, K. */
const WARMER_K = 2;
/** The case must be so much cooler before it counts as cooled, K. */
const COOLER_K = 15;
/** After a rest by heat, K. */
const RESTED_K = 10;

/** Every row but those of optional channels. */
function plainRows(rig: Rig) {
	const { setpoints, pump } = rig;
	const volts = batteries(rig);
	return {
		stop: {
			seen: ({ stop }) => isBroken(stop),
			onMs: 0,
			offMs: RELEASED_MS,
			event: alarm("stop-button"),
		},
		beatForged: {
			seen: ({ beatMode }) => (typeof beatMode === "number" ? beatMode !== 1 : null),
			onMs: 0,
			offMs: 2_000,
			blocks: "the beat's pin is not a plain output",
			event: alarm("beat-forged"),
		},
		boardLost: {
			seen: ({ board }) => board !== 1,
			// Its age is time enough; outputs read back otherwise twice, or the board has begun anew.
			onMs: 0,
			offMs: BOARD_BACK_MS,
			event: trouble("board-lost", ({ board }) =>
				board === 0 ? "outputs are not as driven" : `no answer: ${board}`,
			),
		},
		probeLost: lost(["bowl-probe", ({ probe }) => probe, true], rig),
		water: {
			endsWith: "probeLost",
			seen: ({ probe }) => (probe === "wet" ? true : probe === "dry" ? false : null),
			onMs: setpoints.waterDelayMs,
			offMs: setpoints.waterGoneMs,
			event: (on, atMs) =>
				on ? { type: "alarm", atMs, code: "water-in-bowl" } : { type: "water-gone", atMs },
		},
		stray: {
			seen: ({ motorAmps }, { motorOn }) =>
				typeof motorAmps === "number"
					? !motorOn && Math.abs(motorAmps) > setpoints.strayCurrentA
					: null,
			onMs: setpoints.strayDelayMs,
			offMs: setpoints.strayDelayMs,
			blocks: "current flows in the motor's line",
			event: (on, atMs) => (on ? { type: "stray-current", atMs } : null),
		},
		leak: {
			seen: ({ tray }) => isBroken(tray),
			onMs: SWITCH_MS,
			offMs: 5_000,
			blocks: "the tray is not dry",
			event: alarm("leak"),
		},
		returnOut: {
			seen: ({ returnSeat }) => isBroken(returnSeat),
			onMs: SWITCH_MS,
			offMs: RELEASED_MS,
			blocks: "the return is not locked into its filler",
			event: trouble("return-out"),
		},
		tubeOut: {
			seen: ({ tubeSeat }) => isBroken(tubeSeat),
			onMs: SWITCH_MS,
			offMs: RELEASED_MS,
			blocks: "the tube's head is not seated",
			event: trouble("tube-out"),
		},
		dischargeBlocked: {
			seen: ({ pressureSwitch }) => isBroken(pressureSwitch),
			onMs: SWITCH_MS,
			offMs: 2_000,
			blocks: "the pressure switch is open",
			event: trouble("discharge-blocked"),
		},
		supplyGone: {
			seen: ({ supplyVolts }) => isUnder(supplyVolts, GONE_VOLTS),
			onMs: 500,
			offMs: 500,
			blocks: "no voltage at the pump: isolator open or fuse melted",
			event: trouble("supply-low", "no voltage at the pump: isolator open or fuse melted"),
		},
		overcurrent: {
			seen: ({ motorAmps }, { motorOn }) =>
				motorOn ? isOver(motorAmps, (pump.runningAmps * setpoints.overcurrentPct) / 100) : false,
			onMs: 1_000,
			offMs: 1_000,
			event: trouble("overcurrent", ({ motorAmps }) => `motor at ${figure(motorAmps, 1, "A")}`),
		},
		noCurrent: {
			seen: ({ motorAmps }, { motorOn }) =>
				motorOn ? isUnder(motorAmps, (pump.runningAmps * setpoints.noCurrentPct) / 100) : false,
			onMs: 1_500,
			offMs: 0,
			event: trouble("no-current"),
		},
		motorHot: {
			seen: ({ caseC }) => between(caseC, setpoints.caseStopC, setpoints.caseStopC - COOLER_K),
			onMs: 5_000,
			offMs: 5_000,
			blocks: "the motor's case is still hot",
			event: trouble("motor-hot", ({ caseC }) => `motor's case at ${figure(caseC, 0, "°C")}`),
		},
		motorWarm: {
			// A sensor that says nothing asks for no rest: the clock goes on.
			seen: ({ caseC }) =>
				typeof caseC === "number"
					? between(caseC, setpoints.caseRestC, setpoints.caseRestC - RESTED_K)
					: false,
			onMs: 5_000,
			offMs: 5_000,
			event: (on, atMs) => ({ type: on ? "motor-warm" : "motor-cooled", atMs }),
		},
		supplyHigh: {
			seen: ({ supplyVolts }) => isOver(supplyVolts, setpoints.supplyHighVolts * volts),
			onMs: 1_000,
			offMs: 5_000,
			blocks: "the supply's voltage is too high",
			event: trouble(
				"supply-high",
				({ supplyVolts }) => `supply at ${figure(supplyVolts, 1, "V")}`,
			),
		},
		supplyLow: {
			seen: ({ supplyVolts }) => isUnder(supplyVolts, setpoints.supplyFloorVolts * volts),
			onMs: 3_000,
			offMs: 5_000,
			blocks: "the supply's voltage is too low",
			event: trouble("supply-low", ({ supplyVolts }) => `supply at ${figure(supplyVolts, 1, "V")}`),
		},
		siphon: {
			seen: ({ siphonLitres }) => siphonLitres > SIPHON_LITRES,
			onMs: 0,
			offMs: 5_000,
			blocks: "the meter turns although the pump is off",
			event: alarm("flow-when-stopped"),
		},
		wrongTank: {
			seen: ({ fromMoved, toMoved }, { sameTank }) =>
				sameTank ? hasMoved(fromMoved, toMoved, setpoints.levelDriftPct / 100) : false,
			onMs: 5_000,
			offMs: 0,
			event: trouble(
				"wrong-tank",
				({ fromMoved, toMoved }) =>
					`level moved by ${percent(fromMoved)} under the tube, ${percent(toMoved)} at the return`,
			),
		},
		levelsDiffer: {
			seen: ({ levelGap }, { sameTank }) =>
				levelGap === null ? null : sameTank && Math.abs(levelGap) > LEVEL_GAP,
			onMs: 10_000,
			offMs: 5_000,
			blocksOneTank: "the levels under tube and return differ: are they in one tank?",
			event: trouble(
				"wrong-tank",
				({ levelGap }) => `levels under tube and return differ by ${percent(levelGap)}`,
			),
		},
		volumeImbalance: {
			seen: ({ imbalance }, { sameTank }) => !sameTank && imbalance !== null,
			onMs: IMBALANCE_MS,
			offMs: 0,
			event: trouble("volume-imbalance", ({ imbalance }) => imbalance ?? "litres do not add up"),
		},
		destinationFull: {
			// A tank that was full before may be polished; one that is being filled may not go on.
			seen: ({ levelTo, toMoved }) =>
				toMoved === null
					? null
					: toMoved > VENT_MOVED && isOver(levelTo, setpoints.destinationFullPct / 100) === true,
			onMs: 2_000,
			offMs: 0,
			event: trouble("destination-full"),
		},
		sourceLow: {
			seen: ({ levelFrom }, { polishing }) =>
				polishing ? isUnder(levelFrom, setpoints.sourceLowPct / 100) : false,
			onMs: 5_000,
			offMs: 0,
			event: trouble("source-low"),
		},
		ventBlocked: {
			// What was pumped against ends with the pumping: the next stretch is judged anew.
			seen: (sensed, { tank, polishing }, { tanks }) =>
				polishing &&
				isVentBlocked(
					sensed,
					tanks.find(({ name }) => name === tank),
				),
			onMs: 5_000,
			offMs: 0,
			event: trouble("tank-vent-blocked"),
		},
		suctionBlocked: {
			seen: ({ vacuumRiseKpa }, { polishing }) => {
				if (!polishing) return false;
				return vacuumRiseKpa === null ? null : vacuumRiseKpa > setpoints.suctionRiseKpa;
			},
			onMs: 1_500,
			offMs: 0,
			event: (on, atMs, sensed) => {
				if (!on) return null;
				const rise = `vacuum rose by ${figure(sensed.vacuumRiseKpa, 1, "kPa")}`;
				const side = suddenSide(sensed, rig);
				const code = side === "the element" ? "restriction-high" : "suction-blocked";
				return { type: "trouble", atMs, code, cause: `${rise}: ${side}` };
			},
		},
		restrictionHigh: {
			seen: ({ pumpingVacuumKpa }, { polishing }) => {
				if (!polishing) return false;
				return pumpingVacuumKpa === null ? null : pumpingVacuumKpa > setpoints.vacuumStopKpa;
			},
			onMs: 20_000,
			offMs: 0,
			event: trouble("restriction-high", (sensed) => {
				const vacuum = figure(sensed.pumpingVacuumKpa, 1, "kPa");
				return `vacuum at ${vacuum}: ${restrictionWords(sensed, rig)}`;
			}),
		},
		dry: {
			// Not for how long it lasts: the sum of the evidence is a time already.
			seen: ({ airMs }) => airMs >= setpoints.dryRunDelayMs,
			onMs: 0,
			offMs: 0,
			event: (on, atMs) => (on ? { type: "flow-lost", atMs } : null),
		},
		dryInAll: {
			seen: ({ dryMs }) => dryMs > DRY_IN_ALL_MS,
			onMs: 0,
			offMs: 0,
			event: (on, atMs) => (on ? { type: "flow-lost", atMs } : null),
		},
		primed: {
			permits: true,
			seen: ({ flowLph }, { motorOn }) =>
				typeof flowLph === "number" ? motorOn && flowLph >= setpoints.primedFlowLph : null,
			onMs: setpoints.primedForMs,
			offMs: 0,
			event: (on, atMs) => (on ? { type: "flow-established", atMs } : null),
		},
		tooLow: {
			seen: ({ tooLow }) => tooLow,
			onMs: 0,
			offMs: 0,
			hold: "too-low-for-this-sea",
		},
		cold: {
			seen: ({ fuelC }) => between(fuelC, setpoints.tooColdC, setpoints.tooColdC + WARMER_K),
			onMs: 30_000,
			offMs: 600_000,
			hold: "cold",
		},
		supplyRecovering: {
			seen: ({ restVolts }) => {
				// Behind an open isolator nothing is seen of the battery.
				if (isUnder(restVolts, GONE_VOLTS) === true) return null;
				const { supplyHoldVolts, supplyResumeVolts } = setpoints;
				return between(restVolts, supplyHoldVolts * volts, supplyResumeVolts * volts);
			},
			onMs: 30_000,
			offMs: 600_000,
			hold: "supply-recovering",
		},
		// Says only that a plan which waits for it may begin.
		charging: {
			permits: true,
			seen: ({ restVolts }) => {
				const isFlat = rig.supply.chemistry === "iron-phosphate";
				const mark = Math.max(setpoints.chargingVolts, isFlat ? IRON_PHOSPHATE_CHARGE_VOLTS : 0);
				return isOver(restVolts, mark * volts);
			},
			onMs: 60_000,
			offMs: 5_000,
		},
		meterRaces: {
			seen: ({ flowLph }) => isOver(flowLph, RACE_SHARE * pump.freeFlowLph),
			onMs: 5_000,
			offMs: 5_000,
			event: trouble("sensor-fault", "flow-pulse counts more than the pump can give"),
		},
		vacuumLies: {
			seen: ({ vacuumLies }) => vacuumLies !== null,
			onMs: 5_000,
			offMs: 5_000,
			loses: { sensor: "vacuum", value: ({ vacuumKpa }) => vacuumKpa, always: false },
			event: (on, atMs, { vacuumLies }) => {
				if (!on) return null;
				const cause = vacuumLies ?? "vacuum is not believed";
				return { type: "trouble", atMs, code: "sensor-fault", cause, unattendedOnly: true };
			},
		},
		sensorDrifts: {
			seen: ({ drift }) => drift !== null,
			onMs: 0,
			offMs: 0,
			loses: { sensor: "a sensor that drifts", value: () => 0, always: false },
			event: (on, atMs, { drift }) => {
				if (!on) return null;
				const cause = drift ?? "a sensor drifts";
				return { type: "trouble", atMs, code: "sensor-fault", cause, unattendedOnly: true };
			},
		},
		stopLost: lost(["stop-loop", ({ stop }) => stop, true], rig),
		meterLost: lost(["flow-pulse", ({ flowLph }) => flowLph, true], rig),
		currentLost: lost(["motor-current", ({ motorAmps }) => motorAmps, true], rig),
		voltsLost: lost(["supply-volts", ({ supplyVolts }) => supplyVolts, false], rig),
		// Before the button's own row: when that is let go, they say how long it was held.
		buttonJammed: {
			permits: true,
			seen: ({ buttonPressed }) => buttonPressed,
			onMs: JAMMED_MS,
			offMs: 2 * BUTTON_MS,
		},
		buttonHeld: {
			permits: true,
			seen: ({ buttonPressed }) => buttonPressed,
			onMs: ARM_MS,
			offMs: 2 * BUTTON_MS,
		},
		button: {
			permits: true,
			seen: ({ buttonPressed }) => buttonPressed,
			onMs: BUTTON_MS,
			offMs: BUTTON_MS,
		},
	} as const satisfies Partial<Record<FindingName, Row>>;
}

/** The rows of one rig, in the order in which they are looked at; channels not fitted have none. */
export function rowsOf(rig: Rig): Array<readonly [FindingName, Row]> {
	const plain = Object.entries(plainRows(rig)) as Array<[FindingName, Row]>;
	// A gauge that is not there does not lie.
	const hasGauge = rig.sensors.includes("vacuum");
	const own = hasGauge ? plain : plain.filter(([name]) => name !== "vacuumLies");
	return [...own, ...optionalRows(rig)].map(([name, row]) => [name, alike(row)]);
}
