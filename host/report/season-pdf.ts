// The season as PDF, from the same document as its HTML. Loads pdfkit, which is slow to start: its
// callers load this file only when a PDF is asked for.

import { seasonWords } from "../web/words/season.ts";
import type { PaperSize } from "./blocks.ts";
import { printPaper } from "./pdf/printed-paper.ts";
import { seasonPaper } from "./season-blocks.ts";
import type { SeasonAnswer } from "./season-schema.ts";
import type { SeasonUnits } from "./season-units.ts";

export interface PaperOptions {
	readonly units: SeasonUnits;
	readonly paper: PaperSize;
}

export function seasonPdf(answer: SeasonAnswer, { units, paper }: PaperOptions): Promise<Buffer> {
	const { pageOf, shortOfType } = seasonWords;
	return printPaper(seasonPaper(answer, units, seasonWords), {
		size: paper,
		atUtcMs: answer.atUtcMs,
		pageOf,
		shortOfType,
	});
}
