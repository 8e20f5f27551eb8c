// Opens what a power cut has left as the computer aboard does, and says what is wrong with it:
// nothing that was told durable may be missing, nothing changed or invented, the pump is off, and
// the store takes the records of the new boot.

import { mkdirSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { createController } from "../../firmware/controller.ts";
import { chained, StoreFile } from "../../firmware/log/database.ts";
import { makeFolder } from "../../firmware/log/folder.ts";
import { recover } from "../../firmware/log/recovery.ts";
import { pins } from "../stories/world.ts";
import type { Cut } from "./cuts.ts";
import type { Image } from "./disk.ts";
import { rig } from "./story.ts";

/** The store's folder under the root. */
export const FOLDER = "log";

const controller = createController(rig, pins);

/** @param texts of all records that were handed over, first to last */
export function faultsAfter(cut: Cut, root: string, texts: readonly string[]): string[] {
	lay(cut.image, root);
	const faults: string[] = [];
	let store: StoreFile;
	try {
		makeFolder(join(root, FOLDER));
		store = new StoreFile(join(root, FOLDER, "log.sqlite"));
	} catch (error) {
		return [`it does not open: ${(error as Error).message}`];
	}
	try {
		const records = store.read(1, 100_000);
		const lastSeq = records.at(-1)?.seq ?? 0;
		if (lastSeq < cut.ackedSeq) faults.push(`${cut.ackedSeq} was durable, ${lastSeq} is there`);
		let chain = store.storeId;
		records.forEach(({ seq, json, chain: kept }, i) => {
			chain = chained(chain, json);
			if (seq !== i + 1) faults.push(`${seq} stands where ${i + 1} belongs`);
			else if (json !== texts[i]) faults.push(`${seq} is not what was handed over`);
			else if (chain !== kept) faults.push(`the chain breaks at ${seq}`);
		});
		const recovery = recover(store.history(), rig);
		const { outputs, records: booted } = controller.boot(0, recovery);
		if (outputs["pump-demand"]) faults.push("the pump is on");
		if (booted[0]?.seq !== lastSeq + 1) faults.push("the new boot does not go on after the last");
		store.write(booted, []);
		store.close();
	} catch (error) {
		faults.push(`it does not go on: ${(error as Error).message}`);
	}
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
