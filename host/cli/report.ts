// `lees report`: the season of one rig, as text, as JSON, as one HTML file and as PDF, all from one
// answer. The clock of this computer is read here; a file that is there is never written over.

import { InputError } from "../../firmware/config/input-error.ts";
import { Archive } from "../archive/archive.ts";
import type { TallyAt } from "../archive/element-spans.ts";
import { chosenRigs } from "../archive/export.ts";
import type { SeasonLimits } from "../archive/ready-limits.ts";
import { hasLogOrNote, rigsIn } from "../archive/rig-log.ts";
import type { PaperSize } from "../report/blocks.ts";
import { paperText } from "../report/paper-text.ts";
import { seasonOfLog } from "../report/season.ts";
import { seasonPaper } from "../report/season-blocks.ts";
import type { SeasonAnswer } from "../report/season-schema.ts";
import { zoneHere } from "../report/zoned-time.ts";
import { SI, type Taste } from "../web/units.ts";
import { en } from "../web/words/en.ts";
import type { ReadyOptions } from "./book.ts";
import { EXIT } from "./exit.ts";
import { refuseExisting, writeNewFile } from "./new-file.ts";

export interface ReportOptions extends ReadyOptions {
	readonly html?: string;
	readonly pdf?: string;
	readonly paper: PaperSize;
	readonly units?: readonly string[];
	readonly upliftDays: number;
	readonly waterDays: number;
	readonly doseDays: number;
}

/** @throws InputError when there is no such rig, several, or one of the files is there */
export async function report(options: ReportOptions): Promise<number> {
	const { html, pdf, paper, json } = options;
	refuseExisting([html, pdf]);
	if (html !== undefined && html === pdf) throw refusal(html, "--pdf", html, "two files");
	const units = unitsOf(options);
	const answer = answerOf(options);
	if (html !== undefined) {
		const { seasonHtml } = await import("../report/season-html.ts");
		writeNewFile(html, seasonHtml(answer, { units, paper }));
	}
	if (pdf !== undefined) {
		const { seasonPdf } = await import("../report/season-pdf.ts");
		writeNewFile(pdf, await seasonPdf(answer, { units, paper }));
	}
	const written = [html, pdf].filter((file) => file !== undefined);
	if (json === true) process.stdout.write(`${JSON.stringify(answer, null, 2)}\n`);
	else if (written.length > 0) process.stdout.write(`written: ${written.join(", ")}\n`);
	else process.stdout.write(`${paperText(seasonPaper(answer, units, en))}\n`);
	return EXIT.good;
}

function answerOf(options: ReportOptions): SeasonAnswer {
	const { archive: file, rig: name } = options;
	const archive = new Archive(file, { create: false });
	try {
		const known = rigsIn(archive).filter(hasLogOrNote);
		const [log, ...others] = chosenRigs(known, name, file);
		if (log === undefined) {
			throw refusal(file, "--rig", "none", "a rig that is known here: pull its log first");
		}
		if (others.length > 0) {
			throw refusal(file, "--rig", "none", known.map(({ rig }) => rig).join(", "));
		}
		const tallyAt: TallyAt = (...asked) => archive.tallyAt(...asked);
		return seasonOfLog(log, tallyAt, Date.now(), limitsOf(options), zoneHere());
	} finally {
		archive.close();
	}
}

const limitsOf = (options: ReportOptions): SeasonLimits => ({
	turnoversMin: options.turnovers,
	standingDaysMax: options.standingDays,
	elementLeftPctMin: options.elementPct,
	sparesMin: options.spares,
	standHoursMin: options.standHours,
	wasteMlMax: options.wasteMl,
	upliftDays: options.upliftDays,
	waterDays: options.waterDays,
	doseDays: options.doseDays,
});

/** Each unit says of itself what it is for. */
const unitsOf = ({ units = [] }: ReportOptions): Taste => ({
	...SI,
	volume: units.includes("gal") ? "gallons" : "litres",
	pressure: units.includes("inHg") ? "inchesOfMercury" : "kilopascal",
});

const refusal = (file: string, key: string, found: string, allowed: string) =>
	new InputError([{ file, key, found, allowed }]);
