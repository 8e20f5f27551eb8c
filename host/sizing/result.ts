// The answer of `lees size` as one object: what `--json` prints, with the schema that documents it
// and that a test holds it to. Imports zod and its own folder.

import * as z from "zod";
import { assumptionSchema } from "./assumptions.ts";
import { electricsSchema } from "./electrics.ts";
import { figuresSchema } from "./figures.ts";
import { type LimitName, limitWords } from "./suction-margin.ts";

const isLimitName = (name: string): name is LimitName => name in limitWords;
const limit = z
	.strictObject({
		name: z.enum(Object.keys(limitWords).filter(isLimitName)),
		kpa: z.number().describe("the limit itself, kPa"),
	})
	.describe("what sets the margin: the limit that is nearest with every input as stated");

export const caseSchema = z.strictObject({
	tank: z.string(),
	season: z.enum(["cold", "warm"]),
	celsius: z.number().describe("of the fuel, °C"),
	litres: z.number().describe("fuel that the tank is taken to hold, L"),
	limits: z.strictObject({ clean: limit, change: limit, low: limit }),
	figures: figuresSchema,
});
export type SizedCase = z.infer<typeof caseSchema>;

export const warningCodes = [
	"does-not-lift",
	"suction-clean",
	"suction-change",
	"suction-thin",
	"suction-low",
	"priming-long",
	"too-cold",
	"wax",
	"element-small",
	"battery",
	"cable-drop",
	"fuse",
] as const;
export type WarningCode = (typeof warningCodes)[number];

export const warningSchema = z.strictObject({
	code: z.enum(warningCodes),
	tanks: z.array(z.string()).describe("empty: the rig as a whole"),
	celsius: z.number().nullable().describe("null: at any temperature"),
	text: z.string(),
	cures: z.array(z.string()).describe("each worked out to cure it; empty: none tried does"),
});
export type Warning = z.infer<typeof warningSchema>;

export const sizingResultSchema = z
	.strictObject({
		rig: z.string(),
		invented: z.boolean(),
		seed: z.int(),
		draws: z.int(),
		estimate: z.string().describe("what these figures are and are not"),
		cases: z.array(caseSchema),
		electrics: electricsSchema,
		warnings: z.array(warningSchema),
		assumptions: z.array(assumptionSchema),
		cautions: z.array(z.string()),
	})
	.describe("the answer of `lees size --json`");
export type SizingResult = z.infer<typeof sizingResultSchema>;

export const ESTIMATE =
	"Every figure is an estimate from the rig file and what it leaves to be assumed. " +
	"None was measured, and none says that fuel is clean: only a sample does.";

export const CAUTIONS: readonly string[] = [
	"Fuel: diesel burns; petrol vapour explodes. Never pump petrol or unknown fuel.",
	"Fire: no ignition source where vapour can gather; a brushed motor is one.",
	"Spill: tray under the rig, return locked to the filler, vents open.",
	"Wiring: fuse at the battery end, conductor sized for the fuse (ISO 13297, ABYC E-11).",
	"Local codes and licensed practice come first. Figures here replace neither.",
];
