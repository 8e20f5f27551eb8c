// A process that is killed in mid-sentence: a store that takes records all the time, some at once
// and some in company, and the link's server on a local socket. Run as built, by link-kill.test.ts.
// With `ahead` it sends what is not durable yet, which is the fault that the test has to see.

import { encodeBatch } from "../../firmware/link/batch.ts";
import { listenLocally, serveClients } from "../../firmware/link/local-socket.ts";
import { type LinkHost, LinkServer } from "../../firmware/link/server.ts";
import { chained, type StoredRecord } from "../../firmware/log/chain.ts";
import type { LogRecord, RecordBody } from "../../firmware/log/record.ts";
import { textOf } from "../../firmware/log/record-text.ts";
import { Store } from "../../firmware/log/store.ts";
import { Dice } from "../../sim/bench/campaign/dice.ts";
import { NO_SENSES, SHOWN } from "../stories/shown-rig.ts";
import { statusOf } from "./served-store.ts";

const TICK_MS = 10;
const [, , file = "", socket = "", seed = "1", mode = "durable"] = process.argv;

const store = await Store.open(file);
if (store.failure !== null) throw new Error(store.failure);
const boot = store.last.boot + 1;
const dice = new Dice(Number(seed), `boot ${boot}`);
let seq = store.last.seq;
let monoMs = 0;
/** What this process has appended, chained as the store will chain it. */
const ahead: StoredRecord[] = [];
let chain = seq === 0 ? store.storeId : ((await store.read(seq, 1))[0]?.chain ?? "");

function append(bodies: readonly RecordBody[]): void {
	const records = bodies.map((body): LogRecord => {
		seq += 1;
		return { seq, boot, monoMs, ...body };
	});
	store.append(records, []);
	for (const record of records) {
		const json = textOf(record);
		chain = chained(chain, json);
		ahead.push({ seq: record.seq, json, chain });
	}
}

const sends: Pick<LinkHost, "durableSeq" | "readBatch"> =
	mode === "ahead"
		? {
				durableSeq: () => seq,
				readBatch: async ({ transfer, from, offset }) => {
					const found = ahead.filter((record) => record.seq >= from).slice(0, 20);
					return found.length === 0 ? null : encodeBatch(transfer, found, offset, 20);
				},
			}
		: {
				durableSeq: () => store.state().durableSeq,
				readBatch: (want) => store.batch(want),
			};

const server = new LinkServer({
	...{ storeId: store.storeId, boot, rig: "Drawn rig", ...sends },
	status: () => ({ ...statusOf(store), monoMs, durableSeq: sends.durableSeq() }),
	...SHOWN,
	senses: () => NO_SENSES,
	submit: async () => ({ accepted: false, reasons: ["there is no rig"] }),
	windows: (after) => store.windows(after),
	window: (seq) => store.window(seq),
	readWindow: (want) => store.windowPart(want),
});
append([
	{
		kind: "boot",
		rig: "Drawn rig",
		meter: { kind: null, pulsesPerLitre: 420, uncertainty: null, isCalibrated: false },
		pump: null,
	},
]);
setInterval(() => {
	monoMs += TICK_MS;
	const run = { motorMs: monoMs, pulses: Math.floor(monoMs / 90) };
	const flowLph = dice.whole(0, 1_000) / 10;
	const others = { vacuumKpa: 14, supplyVolts: 12.6, motorAmps: 1.8, fuelC: "not-fitted" };
	if (dice.chance(60)) append([{ kind: "sample", flowLph, ...others, run }]);
	if (dice.chance(6)) append([{ kind: "state", from: "priming", to: "polishing", why: "drawn" }]);
	server.everyTick();
}, TICK_MS);
serveClients(await listenLocally(socket), server);
process.stdout.write(`${JSON.stringify({ storeId: store.storeId, last: store.last.seq })}\n`);
