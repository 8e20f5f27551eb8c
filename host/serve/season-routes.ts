// The season over HTTP: the rigs of the archive, the answer as JSON, the report as HTML and as PDF.
// It only reads. What is asked is checked here; sessions and foreign pages are the guards'
// business. The clock of this computer is read here.

import { createHash } from "node:crypto";
import { existsSync } from "node:fs";
import { type Context, type Env, Hono } from "hono";
import { InputError } from "../../firmware/config/input-error.ts";
import { Archive } from "../archive/archive.ts";
import type { TallyAt } from "../archive/element-spans.ts";
import { SEASON_LIMITS } from "../archive/ready-limits.ts";
import { hasLogOrNote, type RigLog, rigsIn } from "../archive/rig-log.ts";
import { type PaperSize, paperSizes } from "../report/blocks.ts";
import { paperStyle } from "../report/html-paper.ts";
import { seasonOfLog } from "../report/season.ts";
import { seasonHtml } from "../report/season-html.ts";
import type { SeasonAnswer } from "../report/season-schema.ts";
import { zoneHere } from "../report/zoned-time.ts";
import { SI, type Taste } from "../web/units.ts";

/** @param archiveFile it may come to be later */
export function seasonRoutes<E extends Env>(archiveFile: string): Hono<E> {
	const app = new Hono<E>();
	const season = (c: Context) => answerOf(archiveFile, c.req.query("rig"));
	app.get("/api/rigs", (c) => {
		const rigs = withRigs(archiveFile, (found) => found.map(({ rig }) => rig));
		return rigs instanceof InputError ? refused(c, 500, wordsOf(rigs)) : c.json({ rigs });
	});
	app.get("/api/season", (c) => {
		const answer = season(c);
		return "what" in answer ? refused(c, answer.status, answer) : c.json(answer);
	});
	app.get("/report.html", (c) => {
		const options = optionsOf(c);
		const answer = season(c);
		if ("what" in options) return refused(c, 400, options);
		if ("what" in answer) return refused(c, answer.status, answer);
		c.header("content-security-policy", policyFor(options.paper));
		return c.html(seasonHtml(answer, options));
	});
	app.get("/report.pdf", async (c) => {
		const options = optionsOf(c);
		const answer = season(c);
		if ("what" in options) return refused(c, 400, options);
		if ("what" in answer) return refused(c, answer.status, answer);
		// It is slow to load, and many never ask for it.
		const { seasonPdf } = await import("../report/season-pdf.ts");
		const pdf = await seasonPdf(answer, options);
		c.header("content-type", "application/pdf");
		c.header("content-disposition", `inline; filename="${fileName(answer)}"`);
		return c.body(new Uint8Array(pdf));
	});
	return app;
}

interface Fault {
	readonly what: string;
	readonly found?: string;
	readonly allowed?: string;
}

function refused(c: Context, status: 400 | 404 | 500, fault: Fault): Response {
	const { what, found, allowed } = fault;
	return c.json({ error: { what, found, allowed } }, status);
}

const wordsOf = ({ message }: InputError): Fault => ({
	what: "the archive cannot be read",
	found: message,
});

/** Of an archive that is not there yet nothing is known. */
function withRigs<T>(
	file: string,
	ask: (rigs: readonly RigLog[], archive: Archive | null) => T,
): T | InputError {
	if (!existsSync(file)) return ask([], null);
	let archive: Archive | null = null;
	try {
		archive = new Archive(file, { create: false });
		return ask(rigsIn(archive).filter(hasLogOrNote), archive);
	} catch (error) {
		if (error instanceof InputError) return error;
		throw error;
	} finally {
		archive?.close();
	}
}

type Unanswered = Fault & { readonly status: 400 | 404 | 500 };

function answerOf(file: string, name: string | undefined): SeasonAnswer | Unanswered {
	if (name === undefined) return { status: 400, what: "which rig?", allowed: "?rig=NAME" };
	const answer = withRigs(file, (rigs, archive): SeasonAnswer | Unanswered => {
		const log = rigs.find(({ rig }) => rig === name);
		if (log === undefined || archive === null) {
			const allowed = rigs.map(({ rig }) => rig).join(", ") || "none: the archive is empty";
			return { status: 404, what: "no such rig is known here", found: name, allowed };
		}
		const tallyAt: TallyAt = (...asked) => archive.tallyAt(...asked);
		return seasonOfLog(log, tallyAt, Date.now(), SEASON_LIMITS, zoneHere());
	});
	return answer instanceof InputError ? { status: 500, ...wordsOf(answer) } : answer;
}

/** Each is left out or one of its words. */
function optionsOf(c: Context): { units: Taste; paper: PaperSize } | Fault {
	const choices = {
		paper: paperSizes,
		volume: ["litres", "gallons"],
		pressure: ["kilopascal", "inchesOfMercury"],
	} as const;
	for (const [name, allowed] of Object.entries(choices)) {
		const found = c.req.query(name);
		if (found === undefined || allowed.some((word) => word === found)) continue;
		return { what: `${name} is not as it should be`, found, allowed: allowed.join(", ") };
	}
	return {
		paper: c.req.query("paper") === "Letter" ? "Letter" : "A4",
		units: {
			...SI,
			volume: c.req.query("volume") === "gallons" ? "gallons" : "litres",
			pressure: c.req.query("pressure") === "inchesOfMercury" ? "inchesOfMercury" : "kilopascal",
		},
	};
}

/** The file has its style in itself and nothing that runs. */
function policyFor(paper: PaperSize): string {
	const hash = createHash("sha256").update(paperStyle(paper)).digest("base64");
	const nothing = ["default-src", "base-uri", "form-action", "frame-ancestors"];
	return [`style-src 'sha256-${hash}'`, ...nothing.map((kind) => `${kind} 'none'`)].join("; ");
}

/** Letters and digits alone: a name may hold anything. */
const fileName = ({ rig }: SeasonAnswer): string =>
	`season-${rig
		.normalize("NFKD")
		.replaceAll(/[^A-Za-z0-9]+/g, "-")
		.replaceAll(/^-|-$/g, "")
		.toLowerCase()
		.slice(0, 60)}.pdf`;
