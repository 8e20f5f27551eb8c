// The season as one HTML file, from the same document as its PDF, in English as all files are.
// Pure; imports the catalogue.

import { en } from "../web/words/en.ts";
import { htmlPaper } from "./html-paper.ts";
import { seasonPaper } from "./season-blocks.ts";
import type { PaperOptions } from "./season-pdf.ts";
import type { SeasonAnswer } from "./season-schema.ts";

export const seasonHtml = (answer: SeasonAnswer, { units, paper }: PaperOptions): string =>
	htmlPaper(seasonPaper(answer, units, en), paper);
