// Notes over HTTP, in a small server that sets the session as the real one's middleware does: who
// may write, what is refused and where, ids that are sent twice, photos.

import { copyFileSync, existsSync, mkdtempSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { Hono } from "hono";
import { describe, expect, it } from "vitest";
import { Archive } from "../../host/archive/archive.ts";
import { type NotesAnswer, notesAnswer } from "../../host/archive/note-answers.ts";
import { PHOTO_BYTES_MAX } from "../../host/archive/photo.ts";
import { type NotesEnv, notesRoutes } from "../../host/serve/notes-routes.ts";
import type { Session } from "../../host/web/scene.ts";
import { DEMO_RIG, demoFile, makeDemo } from "../archive/demo-archive.ts";
import { pngOf } from "./small-png.ts";

const folder = mkdtempSync(join(tmpdir(), "lees-notes-http-"));
const demo = demoFile(folder);
makeDemo(demo);
let copies = 0;
function ownDemo(): string {
	copies += 1;
	const file = join(folder, `own-${copies}.sqlite`);
	copyFileSync(demo, file);
	return file;
}

/** Whatever of it the answer has. */
type Body = NotesAnswer & {
	readonly outcome: string;
	readonly slip: object;
	readonly error: { readonly what: string };
	readonly problems: ReadonlyArray<{ readonly what: string }>;
};

function serverOf(file: string, may: Session["may"] = "note") {
	const app = new Hono<NotesEnv>();
	app.use(async (c, next) => {
		c.set("session", { may, endsInMs: may === "look" ? null : 60_000 });
		await next();
	});
	app.route("/", notesRoutes(file));
	const answer = async (path: string, init?: RequestInit) => {
		const found = await app.request(path, init);
		return { status: found.status, body: (await found.json()) as Body };
	};
	return {
		app,
		get: (path: string) => answer(path),
		post: (path: string, body: unknown) =>
			answer(path, {
				method: "POST",
				body: typeof body === "string" ? body : JSON.stringify(body),
			}),
		photo: (id: string, bytes: Uint8Array) =>
			answer(`/api/photos?note=${id}`, { method: "POST", body: new Uint8Array(bytes).buffer }),
	};
}

const smallPng = pngOf(0);
const uplift = { kind: "uplift", id: "u1", tank: "day", litres: 40, batch: "B-2" };

describe("who looks", () => {
	it("reads the book of the one rig and what it adds up to", async () => {
		const { status, body } = await serverOf(demo, "look").get("/api/notes");
		expect(status).toBe(200);
		const answer = notesAnswer.parse(body);
		expect(answer).toMatchObject({ rig: DEMO_RIG, rigs: [DEMO_RIG], spots: [] });
		expect(answer.notes).toHaveLength(6);
		expect(answer.notes[0]).toMatchObject({ struckUtcMs: null, photo: null });
		expect(answer.tanks).toContain("port");
		expect(answer.ledger.drainedMl).toBeGreaterThan(0);
		expect(answer.elements).toMatchObject([{ micron: 12, until: null }]);
		expect(answer.runs).toHaveLength(5);
		expect(answer.runs[0]?.run).toBeGreaterThan(answer.runs[1]?.run ?? 0);
	});

	it("of a rig that nobody knows, or without an archive, reads that there is nothing", async () => {
		const other = await serverOf(demo, "look").get("/api/notes?rig=Other");
		expect(other.body).toMatchObject({ rig: null, rigs: [DEMO_RIG], notes: [], runs: [] });
		const file = join(folder, "none.sqlite");
		const none = await serverOf(file, "look").get("/api/notes");
		expect(none.body).toMatchObject({ rig: null, rigs: [], notes: [] });
		expect(existsSync(file)).toBe(false);
	});

	it("writes, strikes and sends nothing", async () => {
		const file = ownDemo();
		const { post, photo } = serverOf(file, "look");
		const answers = [
			await post("/api/notes", uplift),
			await post("/api/notes/strike", { id: "sp-1" }),
			await photo("sa-1", smallPng),
		];
		expect(answers.map(({ status }) => status)).toEqual([401, 401, 401]);
		expect(answers[0]?.body).toMatchObject({ error: { what: expect.stringContaining("paired") } });
		const archive = new Archive(file, { create: false });
		expect(archive.notes.counts("u1")).toBeNull();
		expect(archive.notes.counts("sp-1")).toBe(true);
		expect(archive.photos.heads().size).toBe(0);
		archive.close();
	});
});

describe("a note", () => {
	it.each(["note", "order"] as const)("is kept with a session that may %s", async (may) => {
		const { get, post } = serverOf(ownDemo(), may);
		const first = await post("/api/notes", uplift);
		expect(first).toMatchObject({
			status: 200,
			body: { outcome: "added", note: uplift, slip: null },
		});
		const { body } = await get("/api/notes");
		expect(body.notes.filter(({ note }) => note.id === "u1")).toHaveLength(1);
	});

	it("that is sent twice, or ten times at once, is one", async () => {
		const { get, post } = serverOf(ownDemo());
		const all = await Promise.all(Array.from({ length: 10 }, () => post("/api/notes", uplift)));
		expect(all.map(({ status }) => status)).toEqual(new Array(10).fill(200));
		const outcomes = all.map(({ body }) => body.outcome);
		expect(outcomes.filter((outcome) => outcome === "added")).toHaveLength(1);
		expect((await get("/api/notes")).body.notes).toHaveLength(7);
		const other = await post("/api/notes", { ...uplift, litres: 41 });
		expect(other).toMatchObject({ status: 409, body: { error: { what: "id" } } });
	});

	it("is refused with its fields, and the archive stays as it was", async () => {
		const { get, post } = serverOf(ownDemo());
		const bad = { kind: "uplift", id: "bad", tank: "Day!", litres: -4 };
		const { status, body } = await post("/api/notes", bad);
		expect(status).toBe(400);
		const fields = body.problems.map(({ what }) => what);
		expect(fields.sort()).toEqual(["litres", "tank"]);
		expect((await get("/api/notes")).body.notes).toHaveLength(6);
	});

	it.each([
		["no JSON", "{"],
		["no object", "[]"],
		["no kind", { id: "x" }],
		["an unknown kind", { kind: "party", id: "x" }],
		["no id", { kind: "drained", drainedMl: 5 }],
		["a bad id", { kind: "drained", drainedMl: 5, id: "../x" }],
		["a time that is a text", { ...uplift, atUtcMs: "now" }],
		["a great age", { ...uplift, ageMs: 1e15 }],
		["a field of the archive's", { ...uplift, struckUtcMs: 1 }],
	])("of %s is refused as bad input", async (_, body) => {
		const { status, body: answer } = await serverOf(ownDemo()).post("/api/notes", body);
		expect([status, typeof answer.error.what]).toEqual([400, "string"]);
		expect(JSON.stringify(answer)).not.toContain(folder);
	});

	it("with a tank that nobody has named before says so", async () => {
		const { post } = serverOf(ownDemo());
		const { body } = await post("/api/notes", { ...uplift, tank: "prot" });
		expect(body.slip).toMatchObject({ what: "tank", name: "prot" });
	});

	it("of a rig that is named begins an archive; one that is not leaves none", async () => {
		const file = join(folder, "first.sqlite");
		const { get, post } = serverOf(file);
		expect(await post("/api/notes", uplift)).toMatchObject({
			status: 400,
			body: { error: { what: "rig" } },
		});
		expect(existsSync(file)).toBe(false);
		expect((await post("/api/notes", { ...uplift, rig: "Own rig" })).status).toBe(200);
		expect((await get("/api/notes")).body).toMatchObject({ rig: "Own rig", tanks: ["day"] });
	});

	it("is struck, stays in the list, and its id is nobody's again", async () => {
		const { get, post } = serverOf(ownDemo());
		expect((await post("/api/notes/strike", { id: "sp-1" })).status).toBe(200);
		expect((await post("/api/notes/strike", { id: "nobody" })).status).toBe(404);
		const { notes } = (await get("/api/notes")).body;
		expect(notes.find(({ note }) => note.id === "sp-1")?.struckUtcMs).toBeGreaterThan(0);
		const again = await post("/api/notes", { kind: "spare-elements", id: "sp-1", count: 2 });
		expect(again.status).toBe(409);
	});
});

describe("a photo", () => {
	it("is kept with its note, once, and given back as it is kept", async () => {
		const { app, get, photo } = serverOf(ownDemo());
		const sent = await photo("sa-1", smallPng);
		expect(sent).toMatchObject({
			status: 200,
			body: { outcome: "added", photo: { note: "sa-1", kind: "png" } },
		});
		expect((await photo("sa-1", smallPng)).body.outcome).toBe("known");
		const back = await app.request("/api/photos?note=sa-1");
		expect(back.headers.get("content-type")).toBe("image/png");
		expect(Buffer.from(await back.arrayBuffer()).equals(smallPng)).toBe(true);
		const { notes } = (await get("/api/notes")).body;
		expect(notes.find(({ note }) => note.id === "sa-1")?.photo).toMatchObject({ kind: "png" });
		// Another one for the same note would take the place of what somebody has judged.
		expect((await photo("sa-1", pngOf(255))).status).toBe(409);
	});

	it("of no note, of another kind, or too large, is refused", async () => {
		const { get, photo, post } = serverOf(ownDemo());
		expect((await photo("nobody", smallPng)).status).toBe(404);
		await post("/api/notes/strike", { id: "wa-1" });
		expect((await photo("wa-1", smallPng)).status).toBe(404);
		const page = Buffer.from("<html><script>alert(1)</script></html>");
		expect(await photo("sa-1", page)).toMatchObject({
			status: 400,
			body: { error: { what: "photo", found: "a file that is no photo" } },
		});
		expect((await photo("sa-1", new Uint8Array(PHOTO_BYTES_MAX + 1))).status).toBe(413);
		expect((await get("/api/photos?note=sa-1")).status).toBe(404);
	});
});

describe("an archive that cannot be opened", () => {
	it("is told without its path", async () => {
		const { get } = serverOf(folder);
		const { status, body } = await get("/api/notes");
		expect(status).toBe(409);
		expect(body.error).toMatchObject({ what: "the archive", found: "a directory" });
		expect(JSON.stringify(body)).not.toContain(folder);
	});
});
