// Windows of tick inputs out of a store: made some rows at a time into a kept run that decides the
// same, with the rig of their boot; also where rows are missing, and of a file that an earlier
// controller wrote.

import Database from "better-sqlite3";
import { afterAll, describe, expect, it } from "vitest";
import { createController } from "../../firmware/controller.ts";
import { rawLength } from "../../firmware/link/batch.ts";
import { decodeWindowPart, encodeWindowPart } from "../../firmware/link/window-part.ts";
import { StoreFile } from "../../firmware/log/database.ts";
import { decodeRun } from "../../firmware/log/kept-run.ts";
import { WindowFiller } from "../../firmware/log/window-filler.ts";
import { decideAgain } from "../../host/replay/decide-again.ts";
import { partsOf, windowStretch } from "../../host/replay/recorded-ticks.ts";
import { ringStory, writeStory } from "../archive/ring-story.ts";
import { newFile } from "./log-story.ts";

const story = ringStory("tube-out-of-the-fuel");
const { records } = story.run;
const trip = records.find(({ kind }) => kind === "trip");
const order = records.find(({ kind }) => kind === "order");
const tripSeq = trip?.seq ?? 0;

function storeWith(knowsRig = true): StoreFile {
	const store = new StoreFile(newFile());
	writeStory(store, story, knowsRig);
	return store;
}

const shared = storeWith();
afterAll(() => shared.close());

/** @returns the window's bytes, and in how many steps they were made */
function made(store: StoreFile, seq: number, filler = new WindowFiller()) {
	let steps = 1;
	let facts = filler.step(store, seq);
	for (; facts === undefined; steps += 1) facts = filler.step(store, seq);
	if (facts === null) return null;
	const bytes = new Uint8Array(facts.total);
	let frames = 0;
	for (let offset = 0; offset < facts.total; frames += 1) {
		const payload = filler.part({ transfer: 7, seq, offset });
		if (payload === null) throw new Error("it is not ready");
		expect(rawLength(payload)).toBeLessThanOrEqual(512);
		const part = decodeWindowPart(payload);
		expect(part).toMatchObject({ transfer: 7, seq, offset, ...facts });
		bytes.set(part.bytes, offset);
		offset += part.bytes.length;
	}
	return { bytes, steps, frames };
}

function decided(bytes: Uint8Array) {
	const run = decodeRun(bytes);
	if (run.head.origin === null) throw new Error("it has no rig");
	const parts = partsOf(run.head.origin, "window");
	const stretches = run.stretches.map((one) => windowStretch(one, records));
	return { run, ...decideAgain(stretches, parts, createController) };
}

describe("a window", () => {
	it("is told, made step by step, and decides as the controller did", () => {
		const store = shared;
		expect(store.windows.after(0)).toEqual([
			{ seq: order?.seq, boot: 1, toMs: order?.monoMs },
			{ seq: tripSeq, boot: 1, toMs: trip?.monoMs },
		]);
		expect(store.windows.after(tripSeq)).toEqual([]);
		const window = made(store, tripSeq);
		if (window === null) throw new Error("there is none");
		const { run, difference, ticks, records: again } = decided(window.bytes);
		expect(run.head).toEqual({
			source: { type: "window", storeId: store.storeId, seq: tripSeq, boot: 1 },
			origin: story.origin,
		});
		expect(run.stretches.length).toBe(1);
		expect(difference).toBeNull();
		expect(ticks).toBeGreaterThan(200);
		expect(window.steps).toBeGreaterThan(1);
		expect(again).toContainEqual(trip);
		console.log(`a window of ${ticks} ticks: ${window.bytes.length} B in ${window.frames} frames`);
	});

	it("is the same however often it is made, and another one takes its turn", () => {
		const store = shared;
		const filler = new WindowFiller();
		expect(filler.step(store, tripSeq)).toBeUndefined();
		const first = made(store, order?.seq ?? 0, filler);
		const second = made(store, tripSeq, filler);
		expect(second?.bytes).toEqual(made(store, tripSeq)?.bytes);
		expect(first?.bytes).not.toEqual(second?.bytes);
	});

	it("that no record has pinned is none", () => {
		const store = shared;
		expect(made(store, tripSeq + 1)).toBeNull();
		expect(new WindowFiller().part({ transfer: 1, seq: tripSeq, offset: 0 })).toBeNull();
	});

	it("begins anew in its own state where rows are missing", () => {
		const store = shared;
		const ids = store.windows.rowsOf(tripSeq);
		const gone = ids[Math.floor(ids.length / 2)];
		const { storeId, windows } = store;
		const source = {
			storeId,
			windows: {
				rowsOf: (seq: number) => windows.rowsOf(seq),
				row: (id: number) => (id === gone ? undefined : windows.row(id)),
				originOf: (boot: number) => windows.originOf(boot),
			},
		};
		const filler = new WindowFiller();
		let facts = filler.step(source, tripSeq);
		while (facts === undefined) facts = filler.step(source, tripSeq);
		const parts: Uint8Array[] = [];
		for (let offset = 0; offset < (facts?.total ?? 0); ) {
			const payload = filler.part({ transfer: 1, seq: tripSeq, offset });
			const { bytes } = decodeWindowPart(payload ?? new Uint8Array());
			parts.push(bytes);
			offset += bytes.length;
		}
		const run = decodeRun(Buffer.concat(parts));
		expect(run.stretches.length).toBe(2);
		const origin = partsOf(story.origin, "window");
		for (const stretch of run.stretches) {
			const again = decideAgain([windowStretch(stretch, records)], origin);
			expect(again.difference).toBeNull();
			expect(again.ticks).toBeGreaterThan(50);
		}
	});

	it("of a boot that did not tell its rig says so", () => {
		const store = storeWith(false);
		expect(store.windows.originOf(1)).toBeNull();
		expect(decodeRun(made(store, tripSeq)?.bytes ?? new Uint8Array()).head.origin).toBeNull();
		store.close();
	});
});

describe("the rig of a boot", () => {
	it("is kept once, however many boots have it, and is there after a restart", () => {
		const file = newFile();
		const body = JSON.stringify(story.origin);
		const store = new StoreFile(file);
		for (const boot of [1, 2, 3]) {
			const head = { seq: boot, boot, monoMs: 0 } as const;
			store.write([{ ...head, kind: "drain-seen" }], [], { boot, body });
		}
		store.close();
		const db = new Database(file);
		expect(db.prepare("SELECT count(*) FROM origins").pluck().get()).toBe(1);
		db.close();
		const again = new StoreFile(file);
		expect([1, 2, 3, 4].map((boot) => again.windows.originOf(boot) === body)).toEqual([
			...[true, true, true, false],
		]);
		again.close();
	});

	it("finds its place in a file that an earlier controller wrote", () => {
		const file = newFile();
		new StoreFile(file).close();
		const earlier = new Database(file);
		earlier.exec("DROP TABLE origins; DROP TABLE boots");
		earlier.close();
		const store = new StoreFile(file);
		writeStory(store, story);
		expect(store.windows.originOf(1)).toBe(JSON.stringify(story.origin));
		store.close();
	});
});

describe("a frame of a window", () => {
	it("fits 512 bytes and takes as many of its own as do, whatever they are", () => {
		for (const byte of [0x00, 0xc0, 0xdb, 0x55]) {
			const window = new Uint8Array(3_000).fill(byte);
			const payload = encodeWindowPart({ transfer: 1, seq: 9_999_999, offset: 0 }, window);
			const isEscaped = byte === 0xc0 || byte === 0xdb;
			expect(rawLength(payload)).toBeLessThanOrEqual(512);
			expect(decodeWindowPart(payload).bytes.length).toBeGreaterThan(isEscaped ? 235 : 480);
		}
	});
});
