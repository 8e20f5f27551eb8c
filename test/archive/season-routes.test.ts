// The season over HTTP, as a page asks for it: the rigs, the answer, the report in both forms and
// in the units asked for, and what is refused in one shape.

import { createHash } from "node:crypto";
import { mkdtempSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { seasonAnswer } from "../../host/report/season-schema.ts";
import { seasonRoutes } from "../../host/serve/season-routes.ts";
import { makeSeason } from "./drawn-season.ts";
import { RIG } from "./season-log.ts";

const folder = mkdtempSync(join(tmpdir(), "lees-season-"));
const file = join(folder, "season.sqlite");
makeSeason(file, 3);
const app = seasonRoutes(file);
const rig = encodeURIComponent(RIG);

/** What is refused, in the words of the answer. */
async function refusal(path: string, of = app) {
	const answer = await of.request(path);
	expect(answer.headers.get("content-type")).toContain("application/json");
	const { error } = (await answer.json()) as { error: { what: string; allowed?: string } };
	return { status: answer.status, ...error };
}

describe("the answer", () => {
	it("is of one of the rigs that the archive knows", async () => {
		expect(await (await app.request("/api/rigs")).json()).toEqual({ rigs: [RIG] });
		const answer = await app.request(`/api/season?rig=${rig}`);
		expect(answer.status).toBe(200);
		const season = seasonAnswer.parse(await answer.json());
		expect(season).toMatchObject({ rig: RIG, isInvented: true, undatedRuns: 1 });
		expect(season.atUtcMs).toBeGreaterThan(Date.now() - 60_000);
	});

	it("is refused without a rig, and for one that is not known", async () => {
		expect(await refusal("/api/season")).toMatchObject({ status: 400 });
		expect(await refusal("/api/season?rig=none")).toMatchObject({ status: 404, allowed: RIG });
	});

	it("of an archive that is not there, or is none, is a refusal and no crash", async () => {
		const none = seasonRoutes(join(folder, "none.sqlite"));
		expect(await (await none.request("/api/rigs")).json()).toEqual({ rigs: [] });
		expect(await refusal("/api/season?rig=none", none)).toMatchObject({ status: 404 });
		const other = join(folder, "other.sqlite");
		writeFileSync(other, "this is no archive");
		for (const path of ["/api/rigs", "/api/season?rig=x", "/report.pdf?rig=x"]) {
			expect(await refusal(path, seasonRoutes(other))).toMatchObject({
				status: 500,
				what: "the archive cannot be read",
			});
		}
	});
});

describe("the report", () => {
	it("as HTML may show its own style and nothing else", async () => {
		const answer = await app.request(`/report.html?rig=${rig}&paper=Letter`);
		const html = await answer.text();
		const style = /<style>(.*)<\/style>/s.exec(html)?.[1] ?? "";
		expect(style).toContain("size: Letter");
		const hash = createHash("sha256").update(style).digest("base64");
		const policy = answer.headers.get("content-security-policy");
		expect(policy).toContain("default-src 'none'");
		expect(policy).toContain(`style-src 'sha256-${hash}'`);
		// What a style attribute would say, the policy forbids.
		expect(html).not.toMatch(/\sstyle="/);
	});

	it("as PDF is one, with a name of letters and digits", async () => {
		const answer = await app.request(`/report.pdf?rig=${rig}`);
		expect(answer.headers.get("content-type")).toBe("application/pdf");
		expect(answer.headers.get("content-disposition")).toBe(
			'inline; filename="season-season-rig.pdf"',
		);
		expect(
			Buffer.from(await answer.arrayBuffer())
				.subarray(0, 5)
				.toString(),
		).toBe("%PDF-");
	});

	it("is in the units asked for", async () => {
		const text = async (query: string) =>
			(await app.request(`/report.html?rig=${rig}${query}`)).text();
		expect(await text("")).toContain("L by the meter");
		const us = await text("&volume=gallons&pressure=inchesOfMercury");
		expect(us).toContain("US gal by the meter");
		expect(us).toContain("inHg at free flow");
	});

	it.each([
		["/report.html", "&paper=A5", "A4, Letter"],
		["/report.pdf", "&volume=pints", "litres, gallons"],
		["/report.pdf", "&pressure=bar", "kilopascal, inchesOfMercury"],
	])("%s%s is refused: %s", async (path, query, allowed) => {
		expect(await refusal(`${path}?rig=${rig}${query}`)).toMatchObject({ status: 400, allowed });
		expect(await refusal(`${path}?rig=none`)).toMatchObject({ status: 404 });
	});
});
