// The records that a controller writes, one schema a kind, in the version that is written now;
// record-text.ts reads older ones. Identified by (storeId, seq); a store adds its identity and
// chain. `monoMs` counts from the boot it belongs to: there is no clock.

import * as z from "zod";
import { commissionRecords as proven } from "../commission/schemas.ts";
import { holdCauses } from "../cycle/holds.ts";
import { workNames } from "../cycle/orders.ts";
import { planSchema } from "../cycle/plan-schema.ts";
import { tripCodes } from "../cycle/trips.ts";
import { clockSchema } from "../local-time.ts";

const head = {
	seq: z.int().min(1),
	boot: z.int().min(1),
	monoMs: z.int().min(0),
};
const tally = z.strictObject({ motorMs: z.int().min(0), pulses: z.int().min(0) });
const trip = z.enum(tripCodes);
const quantity = z.union([z.number(), z.string()]);
const order = z.strictObject({
	id: z.string(),
	work: z.enum(workNames),
	tank: z.string(),
	toTank: z.nullable(z.string()),
	goalLitres: z.nullable(z.number()),
	goalHours: z.nullable(z.number()),
	goalShare: z.nullable(z.number()),
	turnoverLitres: z.number(),
	dilution: z.nullable(
		z.strictObject({
			target: z.number(),
			litres: z.number(),
			litresLow: z.number(),
			litresHigh: z.number(),
		}),
	),
	sweep: z.nullable(
		z.strictObject({ burstMl: z.number(), standSeconds: z.number(), dryBursts: z.int() }),
	),
	attended: z.boolean(),
});

const restrictionFit = z.strictObject({
	kpa: z.number(),
	perLitre: z.number(),
	varKpa: z.number(),
	covariance: z.number(),
	varPerLitre: z.number(),
	sdKpa: z.number(),
	firstKpa: z.number(),
	steppedKpa: z.number(),
	leans: z.number(),
	odd: z.number(),
	samples: z.number(),
});

/** Least, mean and greatest of what was known; null where nothing was. */
const spread = z.nullable(
	z.strictObject({ min: z.number(), mean: z.number(), max: z.number(), known: z.int().min(1) }),
);

/**
 * Stands for samples `fromSeq` to `seq` that a full store has let go. It keeps the chain before and
 * after them, so that what comes after is still held by what came before.
 */
const digestSchema = z.strictObject({
	...head,
	kind: z.literal("digest"),
	fromSeq: z.int().min(1),
	fromMs: z.int().min(0),
	chainBefore: z.string(),
	chainAfter: z.string(),
	flowLph: spread,
	vacuumKpa: spread,
	supplyVolts: spread,
	motorAmps: spread,
	fuelC: spread,
	/** At the last of them. */
	run: tally,
	/** Chain value over `chainBefore` and this record's own text with an empty seal. */
	seal: z.string(),
});

export const recordSchema = z.discriminatedUnion("kind", [
	z.strictObject({
		...head,
		kind: z.literal("boot"),
		rig: z.string(),
		meter: z.strictObject({
			/** Null in a record of a version that did not say. */
			kind: z.nullable(z.enum(["positive-displacement", "turbine"])),
			pulsesPerLitre: z.number().positive(),
			/** Standard uncertainty of the K-factor, pulses/L; null where the record did not say. */
			uncertainty: z.nullable(z.number().min(0)),
			isCalibrated: z.boolean(),
		}),
		/** What the pump moves in an hour: measured, or else by its maker. */
		pump: z.nullable(
			z.strictObject({
				lph: z.number().positive(),
				/** Standard uncertainty, L/h. */
				uncertainty: z.number().min(0),
				isMeasured: z.boolean(),
			}),
		),
	}),
	z.strictObject({ ...head, kind: z.literal("order"), order }),
	z.strictObject({
		...head,
		kind: z.literal("order-refused"),
		id: z.string(),
		reasons: z.array(z.string()),
	}),
	z.strictObject({ ...head, kind: z.literal("stop"), by: z.string() }),
	z.strictObject({ ...head, kind: z.literal("clock"), id: z.string(), clock: clockSchema }),
	z.strictObject({ ...head, kind: z.literal("planned"), id: z.string(), plan: planSchema }),
	z.strictObject({
		...head,
		kind: z.literal("plan-refused"),
		id: z.string(),
		reasons: z.array(z.string()),
	}),
	/** It is not waited for any more: begun, missed or cancelled. */
	z.strictObject({
		...head,
		kind: z.literal("plan-ended"),
		id: z.string(),
		/** Of the command that cancelled it; else the plan's. */
		by: z.string(),
		outcome: z.enum(["begun", "missed", "cancelled"]),
		reasons: z.array(z.string()),
	}),
	z.strictObject({
		...head,
		kind: z.literal("acknowledge"),
		id: z.string(),
		from: z.enum(["box", "link"]),
	}),
	z.strictObject({
		...head,
		kind: z.literal("acknowledge-refused"),
		id: z.string(),
		reasons: z.array(z.string()),
	}),
	z.strictObject({
		...head,
		kind: z.literal("acknowledged"),
		id: z.string(),
		codes: z.array(trip),
		from: z.enum(["box", "link"]),
	}),
	z.strictObject({ ...head, kind: z.literal("drain-seen") }),
	z.strictObject({ ...head, kind: z.literal("armed"), by: z.string() }),
	z.strictObject({ ...head, kind: z.literal("arming-refused"), reasons: z.array(z.string()) }),
	z.strictObject({ ...head, kind: z.literal("disarmed"), why: z.string() }),
	z.strictObject({
		...head,
		kind: z.literal("held"),
		causes: z.array(z.enum(holdCauses)),
	}),
	z.strictObject({ ...head, kind: z.literal("cleared"), codes: z.array(trip) }),
	z.strictObject({
		...head,
		kind: z.literal("drained"),
		id: z.string(),
		waterMl: z.number().min(0),
	}),
	z.strictObject({ ...head, kind: z.literal("run-begin"), order }),
	z.strictObject({
		...head,
		kind: z.literal("run-end"),
		outcome: z.string(),
		reasons: z.array(z.string()),
		run: tally,
	}),
	/** All that was pumped without an order so far: pulses after a run's end, welded contacts. */
	z.strictObject({ ...head, kind: z.literal("unordered"), sum: tally }),
	z.strictObject({
		...head,
		kind: z.literal("interrupted"),
		id: z.string(),
		run: tally,
	}),
	z.strictObject({
		...head,
		kind: z.literal("start"),
		reason: z.enum(["ordered", "rested", "stood", "acknowledged", "released"]),
	}),
	z.strictObject({
		...head,
		kind: z.literal("prime"),
		primeTry: z.int().min(1),
		result: z.enum(["fuel", "none"]),
	}),
	z.strictObject({
		...head,
		kind: z.literal("burst"),
		dryBursts: z.int().min(0),
		of: z.int().min(0),
	}),
	z.strictObject({ ...head, kind: z.literal("trip"), code: trip, cause: z.string() }),
	z.strictObject({
		...head,
		kind: z.literal("state"),
		from: z.string(),
		to: z.string(),
		why: z.string(),
	}),
	/** What is known of the element: at a run's end, and now and then within it. */
	z.strictObject({
		...head,
		kind: z.literal("restriction"),
		tank: z.string(),
		/** What the tank holds; null where the fuel does not come back to it. */
		tankLitres: z.nullable(z.number().positive()),
		/** By the rig file of that boot: what the forecast is reckoned with. */
		element: z.strictObject({
			cleanKpa: z.number(),
			changeAtKpa: z.number(),
			dirtToChangeGrams: z.number(),
			dirtEfficiency: z.number(),
		}),
		fit: restrictionFit,
	}),
	/** Once a second while the motor is on. Its numbers are rounded: see sample-columns.ts. */
	z.strictObject({
		...head,
		kind: z.literal("sample"),
		flowLph: quantity,
		vacuumKpa: quantity,
		supplyVolts: quantity,
		motorAmps: quantity,
		fuelC: quantity,
		run: tally,
	}),
	digestSchema,
	z.strictObject({ ...head, kind: z.literal("proof-begun"), ...proven["proof-begun"] }),
	z.strictObject({ ...head, kind: z.literal("proof-answer"), ...proven["proof-answer"] }),
	z.strictObject({ ...head, kind: z.literal("proof"), ...proven.proof }),
	z.strictObject({ ...head, kind: z.literal("fill"), ...proven.fill }),
	z.strictObject({ ...head, kind: z.literal("fill-struck"), ...proven["fill-struck"] }),
	z.strictObject({ ...head, kind: z.literal("part-changed"), ...proven["part-changed"] }),
	z.strictObject({ ...head, kind: z.literal("proof-refused"), ...proven["proof-refused"] }),
]);

export type RecordKind = z.infer<typeof recordSchema>["kind"];

export type LogRecord = Readonly<z.infer<typeof recordSchema>>;

type Headless<R> = R extends LogRecord ? Omit<R, keyof typeof head> : never;

/** A record before the controller has numbered it. */
export type RecordBody = Headless<LogRecord>;
