// Notes over HTTP: the book of a rig with its photos, waste ledger, spots and elements; a note
// kept, struck, given a photo. Whoever looks may read; writing needs a session. Guards and the
// session are the server's middleware, which stands before these routes. The archive is opened for
// each request.

import { existsSync } from "node:fs";
import { type Context, Hono } from "hono";
import { bodyLimit } from "hono/body-limit";
import * as z from "zod";
import { InputError } from "../../firmware/config/input-error.ts";
import { allowedAt, show } from "../../firmware/config/schema-words.ts";
import { Archive } from "../archive/archive.ts";
import { elementHistory } from "../archive/element.ts";
import type { TallyAt } from "../archive/element-spans.ts";
import type { NotesAnswer } from "../archive/note-answers.ts";
import {
	IdTaken,
	keepNote,
	type NoteEntry,
	NoteRefused,
	namelessRig,
	tanksIn,
} from "../archive/note-entry.ts";
import { PHOTO_BYTES_MAX, readPhoto } from "../archive/photo.ts";
import { PhotoRefused } from "../archive/photo-parts.ts";
import { hasLogOrNote, type RigLog, rigsIn } from "../archive/rig-log.ts";
import { runRows } from "../archive/run-rows.ts";
import { spotMaps } from "../archive/spots.ts";
import { wasteLedger } from "../archive/waste-ledger.ts";
import type { Session } from "../web/scene.ts";

export interface NotesEnv {
	Variables: { session: Session };
}

type NotesContext = Context<NotesEnv>;

/** So many of the newest runs are offered for what was done in one. */
const RUNS_OFFERED = 20;
/** A form may have waited so long on a phone, ms. */
const AGE_MS_MAX = 366 * 86_400_000;

const entrySchema = z.looseObject({
	kind: z.string(),
	id: z.string(),
	rig: z.string().trim().min(1).max(200).optional(),
	atUtcMs: z.int().min(0).optional(),
	ageMs: z.number().min(0).max(AGE_MS_MAX).optional(),
	afterRun: z.int().min(1).optional(),
});
const strikeSchema = z.strictObject({ id: z.string() });

/** One thing that is wrong with a request; `what` is the field where there is one. */
interface Failure {
	readonly what: string;
	readonly found?: string;
	readonly allowed?: string;
}

class Refused extends Error {
	readonly status: 400 | 401 | 404 | 409;
	/** The first is the error, all are its problems. */
	readonly failures: readonly Failure[];

	constructor(status: Refused["status"], ...failures: readonly Failure[]) {
		super(failures[0]?.what ?? "");
		this.status = status;
		this.failures = failures;
	}
}

export function notesRoutes(archiveFile: string): Hono<NotesEnv> {
	const app = new Hono<NotesEnv>();
	const photoLimit = bodyLimit({
		maxSize: PHOTO_BYTES_MAX,
		onError: (c) => c.json({ error: { what: "the photo is too large", allowed: "6 MB" } }, 413),
	});
	app.get("/api/notes", (c) =>
		answered(c, () => {
			const name = c.req.query("rig");
			if (!existsSync(archiveFile)) return answerOf(null, name, [], () => null);
			return withArchive(archiveFile, false, (archive) => {
				const rigs = rigsIn(archive).filter(hasLogOrNote);
				const chosen =
					rigs.find(({ rig }) => rig === name) ?? (name === undefined ? rigs[0] : null);
				const tallyAt: TallyAt = (...asked) => archive.tallyAt(...asked);
				return answerOf(chosen ?? null, name, rigs, tallyAt, archive);
			});
		}),
	);
	app.post("/api/notes", (c) =>
		answered(c, async () => {
			demandSession(c);
			const { rig, ...entry } = await bodyOf(c, entrySchema);
			// A rig that nobody named leaves no empty archive behind.
			if (rig === undefined && !existsSync(archiveFile)) throw namelessRig([]);
			return withArchive(archiveFile, true, (archive) =>
				keepNote(archive, rig, entry as NoteEntry, Date.now()),
			);
		}),
	);
	app.post("/api/notes/strike", (c) =>
		answered(c, async () => {
			demandSession(c);
			const { id } = await bodyOf(c, strikeSchema);
			return withArchive(archiveFile, false, ({ notes }) => {
				if (!notes.strike(id, Date.now())) throw new Refused(404, noNote(id));
				return { id, counts: false };
			});
		}),
	);
	app.post("/api/photos", photoLimit, (c) =>
		answered(c, async () => {
			demandSession(c);
			const id = c.req.query("note") ?? "";
			const photo = readPhoto(new Uint8Array(await c.req.arrayBuffer()));
			return withArchive(archiveFile, false, ({ notes, photos }) => {
				if (notes.counts(id) !== true) throw new Refused(404, noNote(id));
				const outcome = photos.add(id, photo);
				if (outcome === "other") {
					const what = "this note has another photo";
					throw new Refused(409, { what, allowed: "one a note: strike it, note it anew" });
				}
				return { outcome, photo: photos.head(id) };
			});
		}),
	);
	app.get("/api/photos", (c) =>
		answered(c, () => {
			const id = c.req.query("note") ?? "";
			const photo = withArchive(archiveFile, false, ({ photos }) => photos.read(id));
			if (photo === null) throw new Refused(404, { what: "no such photo", found: show(id) });
			return c.body(new Uint8Array(photo.bytes).buffer, 200, {
				"content-type": `image/${photo.kind}`,
				"content-disposition": `inline; filename="${photo.kind}-of-a-note"`,
			});
		}),
	);
	return app;
}

const noNote = (id: string): Failure => ({
	what: "id",
	found: show(id),
	allowed: "the id of a note that counts",
});

function withArchive<T>(file: string, create: boolean, work: (archive: Archive) => T): T {
	const archive = new Archive(file, { create });
	try {
		return work(archive);
	} finally {
		archive.close();
	}
}

function answerOf(
	rig: RigLog | null,
	asked: string | undefined,
	rigs: readonly RigLog[],
	tallyAt: TallyAt,
	archive: Archive | null = null,
): NotesAnswer {
	const nothing: RigLog = { rig: asked ?? "", stores: [], notes: [] };
	const own = rig ?? nothing;
	const photos = archive?.photos.heads() ?? new Map();
	const kept = archive?.notes.all().filter(({ note }) => note.rig === own.rig) ?? [];
	const runs = runRows(own).slice(-RUNS_OFFERED).reverse();
	return {
		rig: rig?.rig ?? null,
		rigs: rigs.map((one) => one.rig),
		tanks: tanksIn(own),
		notes: kept.map((one) => ({ ...one, photo: photos.get(one.note.id) ?? null })),
		ledger: wasteLedger(own),
		spots: spotMaps(own),
		elements: elementHistory(own, tallyAt),
		runs: runs.map(({ run, work, tank, began, outcome }) => ({ run, work, tank, began, outcome })),
	};
}

/** A session that may write notes is enough: no note starts a pump. */
function demandSession(c: NotesContext): void {
	if (c.get("session").may !== "look") return;
	throw new Refused(401, {
		what: "this page is not paired, or its session has ended",
		allowed: "pair with the code that is shown",
	});
}

async function bodyOf<S extends z.ZodType>(c: NotesContext, schema: S): Promise<z.infer<S>> {
	let raw: unknown;
	try {
		raw = await c.req.json();
	} catch {
		throw new Refused(400, { what: "the body is no JSON", allowed: "JSON" });
	}
	const read = schema.safeParse(raw);
	if (read.success) return read.data;
	const failures = read.error.issues.map((issue): Failure => {
		const what = String(issue.path[0] ?? "the body");
		const found = typeof raw === "object" && raw !== null ? Reflect.get(raw, what) : raw;
		return { what, found: show(found), allowed: allowedAt(issue) };
	});
	throw new Refused(400, ...failures);
}

/** What the work gives as JSON, or why it was refused. */
async function answered(c: NotesContext, work: () => unknown): Promise<Response> {
	try {
		const answer = await work();
		return answer instanceof Response ? answer : c.json(answer as object);
	} catch (error) {
		const { status, failures } = refusedOf(error);
		const [first = { what: "refused" }] = failures;
		return c.json({ error: first, problems: failures }, status);
	}
}

/** @throws what is no refusal: a fault of ours */
function refusedOf(error: unknown): Refused {
	if (error instanceof Refused) return error;
	if (error instanceof NoteRefused) {
		const failures = error.problems.map(({ field, ...more }) => ({ what: field, ...more }));
		return new Refused(error instanceof IdTaken ? 409 : 400, ...failures);
	}
	if (error instanceof PhotoRefused) {
		return new Refused(400, { what: "photo", found: error.found, allowed: error.allowed });
	}
	if (error instanceof InputError) {
		// The path of the archive is nobody's business.
		const failures = error.problems.map(({ found, allowed }) => ({
			what: "the archive",
			found,
			allowed,
		}));
		return new Refused(409, ...failures);
	}
	throw error;
}
