// Opens what a power cut has left as the computer aboard does, and says what is wrong with it:
// nothing that was told durable may be missing, nothing changed or invented, nothing set aside but
// what was broken before; the pump is off, and the store takes the records of the new boot.

import { mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { createController } from "../../firmware/controller.ts";
import { chained, type StoredRecord } from "../../firmware/log/chain.ts";
import { digestIn, isSealed } from "../../firmware/log/digest.ts";
import { recover } from "../../firmware/log/recovery.ts";
import { type Opened, openStore } from "../../firmware/log/store-opening.ts";
import { pins } from "../stories/world.ts";
import type { Cut } from "./cuts.ts";
import type { Image } from "./disk.ts";
import { FILE, FOLDER } from "./play.ts";
import { rig } from "./story.ts";

const controller = createController(rig, pins);

export interface Expected {
	/** Of all records that were handed over, first to last. */
	readonly texts: readonly string[];
	/** Files of a store that was broken before the cut: all of them must still be there. */
	readonly broken: readonly Uint8Array[];
}

/**
 * Lays the disk out anew and opens the store on it.
 * @throws Error when it does not open
 */
export function openAfter(cut: Cut, root: string): Opened {
	lay(cut.image, root);
	return openStore(join(root, FOLDER, FILE));
}

export function faultsAfter(cut: Cut, root: string, expected: Expected): string[] {
	let opened: Opened;
	try {
		opened = openAfter(cut, root);
	} catch (error) {
		return [`it does not open: ${(error as Error).message}`];
	}
	try {
		const records = opened.store.read(1, Number.MAX_SAFE_INTEGER);
		return [
			...faultsOfRecords(records, opened.store.storeId, expected.texts),
			...faultsOfLoss(opened, join(root, FOLDER), expected.broken),
			...faultsOfOrigins(opened, records),
			...faultsOfBoot(opened, cut.ackedSeq),
		];
	} catch (error) {
		return [`it does not go on: ${(error as Error).message}`];
	} finally {
		opened.store.close();
	}
}

function faultsOfRecords(
	records: readonly StoredRecord[],
	storeId: string,
	texts: readonly string[],
): string[] {
	const faults: string[] = [];
	const chain = chainOf(storeId, texts);
	let seq = 0;
	for (const record of records) {
		const digest = digestIn(record.json);
		const from = digest?.fromSeq ?? record.seq;
		if (from !== seq + 1) faults.push(`${from} stands where ${seq + 1} belongs`);
		if (digest === null) {
			if (record.json !== texts[from - 1]) faults.push(`${from} is not what was handed over`);
		} else {
			const originals = texts.slice(from - 1, record.seq);
			const isOfSamples = originals.every((text) => text.includes('"kind":"sample"'));
			const begins = digest.chainBefore === chain[from - 1];
			const ends = digest.chainAfter === chain[record.seq];
			const isGood = isOfSamples && begins && ends && isSealed(digest);
			if (!isGood) faults.push(`the digest ${record.seq} is bad`);
		}
		seq = record.seq;
		if (record.chain !== chain[seq]) faults.push(`the chain breaks at ${seq}`);
	}
	return faults;
}

/** A boot that is in the log knows with what it decided: its windows need it. */
function faultsOfOrigins({ store }: Opened, records: readonly StoredRecord[]): string[] {
	const boots = records.filter(({ json }) => json.includes('"kind":"boot"'));
	return boots.flatMap(({ json }) => {
		const { boot } = JSON.parse(json) as { boot: number };
		return store.windows.originOf(boot) === null ? [`boot ${boot} does not know its rig`] : [];
	});
}

/** Chain values from the store's identity on: one before any record, then one after each. */
function chainOf(storeId: string, texts: readonly string[]): readonly string[] {
	if (known.storeId !== storeId || known.texts !== texts) {
		const chain = [storeId];
		for (const text of texts) chain.push(chained(chain.at(-1) ?? "", text));
		known = { storeId, texts, chain };
	}
	return known.chain;
}

let known = { storeId: "", texts: [] as readonly string[], chain: [] as readonly string[] };

function faultsOfLoss({ lost, last }: Opened, folder: string, broken: Expected["broken"]) {
	const names = readdirSync(folder);
	// What lies beside a database may be of a creation that was cut off.
	const isAside = names.some((name) => /broken-\d+\.sqlite$/.test(name));
	if (broken.length === 0) {
		return lost !== null || isAside ? [`set aside without need: ${lost}`] : [];
	}
	const files = names.map((name) => readFileSync(join(folder, name)));
	const missing = broken.filter((file) => !files.some((found) => found.equals(file)));
	const faults = missing.map(({ length }) => `a broken file of ${length} bytes is gone`);
	// Until the new log has a record of it, and no longer.
	if ((lost !== null) !== (last.seq === 0)) faults.push(`after ${last.seq}: lost is ${lost}`);
	return faults;
}

function faultsOfBoot(opened: Opened, ackedSeq: number): string[] {
	const { store, history, last } = opened;
	const faults: string[] = [];
	if (last.seq < ackedSeq) faults.push(`${ackedSeq} was durable, ${last.seq} is there`);
	const { outputs, records } = controller.boot(0, recover(history, rig, opened));
	if (outputs["pump-demand"] || outputs["dead-man-beat"]) faults.push("the pump is on");
	if (records[0]?.seq !== last.seq + 1) faults.push("the new boot does not go on after the last");
	store.write(records, []);
	return faults;
}

function lay(image: Image, root: string): void {
	rmSync(root, { recursive: true, force: true });
	mkdirSync(root);
	for (const [path, content] of image) {
		if (content === null) mkdirSync(join(root, path));
		else writeFileSync(join(root, path), content);
	}
}
