// A short life of a store, as a process whose system calls a test makes fail: a broken file is set
// aside and a new store made, or the one that is there goes on; it is thinned and checkpointed, and
// ended or cut off. Prints `ack N` for each record that it was told is durable, then what became
// of the store.

import { existsSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import type { LogRecord } from "../../firmware/log/record.ts";
import { Store } from "../../firmware/log/store.ts";
import { LogStory } from "../properties/log-story.ts";

const [, , folder = "", end = "closed"] = process.argv;
/** So small that it is full at once. */
const BYTES_MAX = 42_000;

const say = (line: string) => writeFileSync(1, `${line}\n`);
const pause = () => new Promise((resolve) => setTimeout(resolve, 1));

const store = await Store.open(join(folder, "log.sqlite"), { bytesMax: BYTES_MAX });
let told = 0;

/** Hands over and waits until it is durable, or never will be. */
async function keep(records: readonly LogRecord[]): Promise<void> {
	store.append(records, []);
	const seq = records.at(-1)?.seq ?? 0;
	while (store.failure === null && store.state().durableSeq < seq) await pause();
	const { durableSeq } = store.state();
	if (durableSeq > told) say(`ack ${durableSeq}`);
	told = Math.max(told, durableSeq);
}

const story = LogStory.after(store.last);
for (const records of [
	story.boot(),
	story.run(30),
	story.boot(),
	story.run(5),
	story.boot(),
	story.trip(),
]) {
	await keep(records);
	// What can wait is done now, or fails now.
	for (let i = 0; i < 20 && store.failure === null; i += 1) await pause();
}
say(JSON.stringify({ lost: store.lost, failure: store.failure }));
if (end === "cut") process.kill(process.pid, "SIGKILL");
// Seen in the trace: what fails from here on is only the end.
existsSync(join(folder, "closing"));
await store.close();
say("ended");
