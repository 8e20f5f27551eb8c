// The season as PDF, from the same document as its HTML. Loads pdfkit, which is slow to start: its
// callers load this file only when a PDF is asked for.

import type { Taste } from "../web/units.ts";
import { en } from "../web/words/en.ts";
import type { PaperSize } from "./blocks.ts";
import { printPaper } from "./pdf/printed-paper.ts";
import { seasonPaper } from "./season-blocks.ts";
import type { SeasonAnswer } from "./season-schema.ts";

export interface PaperOptions {
	readonly units: Taste;
	readonly paper: PaperSize;
}

export function seasonPdf(answer: SeasonAnswer, { units, paper }: PaperOptions): Promise<Buffer> {
	const { pageOf, shortOfType } = en.season;
	return printPaper(seasonPaper(answer, units, en), {
		size: paper,
		atUtcMs: answer.atUtcMs,
		pageOf,
		shortOfType,
	});
}
