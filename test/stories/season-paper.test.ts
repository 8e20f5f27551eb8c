// The season on paper: the PDF says what the HTML says, word for word and figure for figure; a
// usual season takes two sheets; long ones repeat their tables' heads; both are well formed, and
// names that mean harm do none. The PDF is read by poppler's tools.

import { execFileSync, spawnSync } from "node:child_process";
import { mkdtempSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { SEASON_LIMITS } from "../../host/archive/ready-limits.ts";
import { seasonOfLog } from "../../host/report/season.ts";
import { seasonPaper } from "../../host/report/season-blocks.ts";
import { seasonHtml } from "../../host/report/season-html.ts";
import { type PaperOptions, seasonPdf } from "../../host/report/season-pdf.ts";
import type { SeasonAnswer } from "../../host/report/season-schema.ts";
import { SI } from "../../host/web/units.ts";
import { en } from "../../host/web/words/en.ts";
import { drawSeason } from "../archive/drawn-season.ts";
import { noted, rigOf, StoreWriter, tallies } from "../archive/season-log.ts";

const folder = mkdtempSync(join(tmpdir(), "lees-paper-"));
const A4: PaperOptions = { units: SI, paper: "A4" };
const LETTER: PaperOptions = {
	units: { ...SI, volume: "gallons", pressure: "inchesOfMercury" },
	paper: "Letter",
};

function answerOf(months: number): SeasonAnswer {
	const { log, tallyAt, nowMs } = drawSeason(months);
	return seasonOfLog(log, tallyAt, nowMs, SEASON_LIMITS, "UTC");
}

let files = 0;
async function pdfFile(answer: SeasonAnswer, options: PaperOptions): Promise<string> {
	files += 1;
	const file = join(folder, `season-${files}.pdf`);
	writeFileSync(file, await seasonPdf(answer, options));
	return file;
}
const tool = (name: string, ...args: string[]) => execFileSync(name, args, { encoding: "utf8" });
/** Page by page, in the order in which it was drawn. */
const pagesOf = (file: string): string[] =>
	tool("pdftotext", "-raw", "-enc", "UTF-8", file, "-").split("\f").slice(0, -1);

/** What is to be read in the file, without its marks. */
function htmlText(html: string): string {
	const main = /<main>(.*)<\/main>/s.exec(html)?.[1] ?? "";
	const plain = main.replaceAll(/<[^>]*>/g, " ");
	return plain
		.replaceAll("&lt;", "<")
		.replaceAll("&gt;", ">")
		.replaceAll("&quot;", '"')
		.replaceAll("&amp;", "&");
}
/** Line breaks and columns are the paper's own business. */
const bare = (text: string): string => text.replaceAll(/\s+/g, "");
const withoutFoot = (page: string): string => page.trimEnd().split("\n").slice(0, -1).join("\n");

describe.each([
	["A4, litres and kilopascals", A4, "595.28 x 841.89"],
	["Letter, gallons and inches", LETTER, "612 x 792"],
])("a usual season on %s", (_, options, size) => {
	const answer = answerOf(7);

	it("is two sheets, tagged, with title, language and page numbers", async () => {
		const file = await pdfFile(answer, options);
		const checked = spawnSync("pdfinfo", [file], { encoding: "utf8" });
		expect(checked.stderr).toBe("");
		expect(checked.stdout).toMatch(/^Pages: +2$/m);
		expect(checked.stdout).toMatch(/^Title: +Season of Season rig$/m);
		expect(checked.stdout).toMatch(/^Tagged: +yes$/m);
		expect(checked.stdout).toContain(size);
		const pages = pagesOf(file);
		expect(pages.map((page) => page.trimEnd().endsWith(`of ${pages.length}`))).toEqual([
			true,
			true,
		]);
		expect(pages[0]?.trimEnd()).toMatch(/INVENTED DATA\. Season rig, 2024-10-26\s+1 of 2$/);
		expect((await seasonPdf(answer, options)).toString("latin1")).toContain("/Lang (en)");
	});

	it("says the very same as the HTML, in the same order", async () => {
		const pages = pagesOf(await pdfFile(answer, options)).map(withoutFoot);
		// One table goes over the page's end: its head is there twice, once as an artifact.
		const html = bare(htmlText(seasonHtml(answer, options)));
		const repeats = repeatedHeads(answer, options).map(bare);
		const [first = "", ...more] = pages.map(bare);
		const rest = more.map((page) => {
			const head = repeats.find((one) => page.startsWith(one));
			return head === undefined ? page : page.slice(head.length);
		});
		expect([first, ...rest].join("")).toBe(html);
	});

	it("has tables, heads and headings in its structure", async () => {
		const structure = tool("pdfinfo", "-struct-text", await pdfFile(answer, options));
		expect(structure).toMatch(/H1/);
		expect(structure.match(/^ +H2/gm)?.length).toBeGreaterThan(6);
		expect(structure.match(/^ +Table/gm)?.length).toBe(7);
		expect(structure.match(/^ +TH/gm)?.length).toBeGreaterThan(40);
		expect(structure).toMatch(/Figure/);
	});
});

/** In words, as they stand on each page that a table goes on. */
function repeatedHeads(answer: SeasonAnswer, options: PaperOptions): string[] {
	const { blocks } = seasonPaper(answer, options.units, en);
	return blocks.flatMap((block) =>
		block.kind === "table" ? [block.columns.map(({ head }) => head).join("")] : [],
	);
}

describe("three years", () => {
	const answer = answerOf(36);

	it("take more sheets, and each begins with the head of its table", async () => {
		const pages = pagesOf(await pdfFile(answer, A4));
		expect(pages.length).toBeGreaterThan(3);
		const heads = repeatedHeads(answer, A4).map(bare);
		const within = pages
			.slice(1)
			.filter((page) => heads.some((head) => bare(page).startsWith(head)));
		expect(within.length).toBeGreaterThan(1);
		for (const [i, page] of pages.entries()) expect(page).toContain(`${i + 1} of ${pages.length}`);
	});

	it("lose no figure", async () => {
		const tokens = (text: string) => text.match(/\d[\d.:/-]*/g) ?? [];
		const count = (all: readonly string[]) => {
			const counts = new Map<string, number>();
			for (const one of all) counts.set(one, (counts.get(one) ?? 0) + 1);
			return counts;
		};
		const pages = pagesOf(await pdfFile(answer, A4)).map(withoutFoot);
		const printed = count(tokens(pages.join("\n")));
		const wanted = count(tokens(htmlText(seasonHtml(answer, A4))));
		const lost = [...wanted].filter(([token, times]) => (printed.get(token) ?? 0) < times);
		expect(lost).toEqual([]);
	});
});

describe("the figures of a paper", () => {
	const text = (options: PaperOptions) => htmlText(seasonHtml(answerOf(1), options));

	it("are in the units that were asked for", () => {
		// 310 + 280 + 12 L by the meter: 2 * 602 * sqrt(0.01² + (0.02 / sqrt 3)²) = 18.39 L; at
		// 3.785411784 L a gallon: 159.03 and 4.86.
		expect(text(A4)).toContain("602 ± 18 L by the meter");
		expect(text(LETTER)).toContain("159.0 ± 4.9 US gal by the meter");
		// 6.1 kPa at 3.386389 kPa an inch, clean 4, change at 18.
		expect(text(A4)).toMatch(/6\.1\s+4\.0, 18\.0/);
		expect(text(LETTER)).toMatch(/1\.80\s+1\.18, 5\.32/);
	});

	it("say what is estimated, not dated and invented, and never that fuel is clean", () => {
		const all = htmlText(seasonHtml(answerOf(7), A4));
		expect(all).toContain("INVENTED DATA");
		expect(all).toContain("UNDATED: 2024-06");
		expect(all).toContain("by hours, estimated");
		expect(all).toContain("1 run is in no month");
		expect(all.match(/clean/g)?.length).toBe(2);
		expect(all).toContain("Nothing here says that fuel is clean");
	});
});

describe("a rig of which nothing is known", () => {
	it("has a paper that says so", async () => {
		const answer = seasonOfLog(rigOf([]), () => null, 0, SEASON_LIMITS, "UTC");
		const html = htmlText(seasonHtml(answer, A4));
		expect(html).toContain("Nothing is known of this rig yet");
		expect(html).not.toMatch(/NaN|undefined|null|Infinity/);
		const [page = ""] = pagesOf(await pdfFile(answer, A4));
		expect(bare(withoutFoot(page))).toBe(bare(html));
	});
});

describe("names that mean harm", () => {
	const place = `<script>alert(1)</script> "&' ${"x".repeat(150)}`;
	const text = `${"Long words of the harbour. ".repeat(70)}\u0007\u202e Łódź Ελλάδα 🛢`;
	const store = new StoreWriter("5ea50000-invented").boot(Date.UTC(2026, 4, 3)).run({
		tank: "port",
		litres: 90,
	});
	const notes = [
		noted("uplift", Date.UTC(2026, 4, 2), { tank: "port", litres: 50, place, batch: null, text }),
	];
	const log = { ...rigOf([store], notes), rig: "<b>&\"'</b> % Ωmega" };
	const answer = seasonOfLog(log, tallies([store]), Date.UTC(2026, 5, 1), SEASON_LIMITS, "UTC");

	it("stay words in the HTML, which asks no other address and runs nothing", () => {
		const html = seasonHtml(answer, A4);
		expect(html).toContain("&lt;script&gt;alert(1)&lt;/script&gt;");
		expect(html).not.toMatch(/<script|javascript:|\son\w+=|<link|<img|url\(|@import|https?:/i);
		expect(html).toContain("Łódź Ελλάδα 🛢");
	});

	it("are printed in letters that the type has, and it says where it lacks some", async () => {
		const file = await pdfFile(answer, A4);
		expect(spawnSync("pdfinfo", [file], { encoding: "utf8" }).stderr).toBe("");
		const all = bare(pagesOf(file).join("\n"));
		expect(all).toContain("x".repeat(150));
		expect(all).toContain("<script>alert(1)</script>");
		expect(all).toContain("Lódz");
		expect(all).toContain(bare(en.season.shortOfType));
	});

	it("longer than a page go on over the next", async () => {
		const long = {
			...answer,
			entries: answer.entries.map((entry) => ({ ...entry, words: [text.repeat(9)] })),
		};
		const pages = pagesOf(await pdfFile(long, A4));
		const all = bare(pages.join("\n"));
		expect(all.match(/harbour\./g)?.length).toBe(70 * 9);
	});
});
