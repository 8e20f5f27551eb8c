// A pull over real pseudo-terminals, through a cable that spoils one byte in some three thousand
// and is cut every few seconds: the archive ends with every record of the store, letter by letter.

import { join } from "node:path";
import { afterEach, describe, expect, it } from "vitest";
import { listenLocally, serveClients } from "../../firmware/link/local-socket.ts";
import { chained } from "../../firmware/log/chain.ts";
import { Archive } from "../../host/archive/archive.ts";
import { type Pulled, pull } from "../../host/archive/pull.ts";
import { openLine } from "../../host/link/line.ts";
import { SteadyLink } from "../../host/link/steady-link.ts";
import { drawLog } from "../archive/drawn-log.ts";
import { sleep } from "./live.ts";
import { NoisyCable } from "./noisy-cable.ts";
import { ServedStore } from "./served-store.ts";

const closers: Array<() => unknown> = [];
afterEach(async () => {
	for (const close of closers.splice(0).reverse()) await close();
});

/** Every text, and the chain over it, as the store has them. */
function expectSame(archive: Archive, { store, records }: ServedStore) {
	let chain = store.storeId;
	let seen = 0;
	for (const { seq, text } of archive.texts(store.storeId)) {
		const record = records[seen];
		chain = chained(chain, text);
		if (record?.seq !== seq || record.json !== text || record.chain !== chain) {
			expect({ seq, text, chain }).toEqual(record);
		}
		seen += 1;
	}
	expect(seen).toBe(records.length);
	expect(archive.last(store.storeId)?.chain).toBe(chain);
}

async function setUp(seed: number, share: number, runs: number, samplesMax: number) {
	const served = await ServedStore.of(drawLog(seed, runs, samplesMax));
	const cable = new NoisyCable({ seed, share });
	await cable.plugIn();
	await served.serveSerial(cable.aboard);
	const archive = new Archive(join(cable.folder, "archive.sqlite"), { create: true });
	closers.push(
		() => cable.close(),
		() => served.close(),
		() => archive.close(),
	);
	const patience = { patienceMs: 20_000, listPorts: cable.listPorts, open: openLine };
	return { served, cable, archive, patience };
}

const begin = (link: SteadyLink, archive: Archive): Promise<Pulled> =>
	pull({
		...{ link, archive, follow: false, signal: new AbortController().signal },
		onProgress: () => {},
		onLost: () => {},
	});

describe("a noisy cable that is cut every few seconds", () => {
	it("brings every record, letter by letter", { timeout: 120_000 }, async () => {
		const { served, cable, archive, patience } = await setUp(7, 1e-4, 40, 1_600);
		const link = await SteadyLink.open(cable.ashore, patience);
		closers.push(() => link.close());
		const isOver = { now: false };
		const cuts = (async () => {
			for (let n = 0; !isOver.now; n += 1) {
				await sleep(1.5 + (n % 3) * 0.4);
				if (isOver.now) break;
				if (n % 3 === 0) await cable.fallSilent(0.6);
				else await cable.pull(0.4, n % 3 === 1);
			}
		})();
		const pulled = await begin(link, archive);
		isOver.now = true;
		await cuts;
		const { counts } = cable;
		console.log(
			`${pulled.records} records, ${pulled.samples} of them samples, in ${pulled.bytes} bytes; ` +
				`the cable carried ${counts.bytes}, flipped a bit in ${counts.flipped}, lost ` +
				`${counts.lost}, doubled ${counts.doubled}; silent ${counts.silences} times, ` +
				`pulled ${counts.pulled} times`,
		);
		expect(pulled.isComplete).toBe(true);
		expect(pulled.records).toBe(served.records.length);
		expectSame(archive, served);
		expect(Math.min(counts.flipped, counts.lost, counts.doubled)).toBeGreaterThan(20);
		expect(counts.pulled).toBeGreaterThan(2);
		expect(pulled.losses).toBeGreaterThanOrEqual(counts.pulled - 1);
	});
});

describe("two pulls at once into one archive", () => {
	it("leave each record in it once", { timeout: 60_000 }, async () => {
		const { served, cable, archive, patience } = await setUp(8, 1e-9, 6, 600);
		const aboard = join(cable.folder, "aboard.socket");
		const listener = await listenLocally(aboard);
		serveClients(listener, served.server);
		closers.push(() => void listener.close());
		const other = new Archive(join(cable.folder, "archive.sqlite"), { create: false });
		const links = [
			await SteadyLink.open(cable.ashore, patience),
			await SteadyLink.open(aboard, patience),
		] as const;
		closers.push(
			() => other.close(),
			() => links[0].close(),
			() => links[1].close(),
		);
		const [first, second] = await Promise.all([begin(links[0], archive), begin(links[1], other)]);
		expect(first.isComplete && second.isComplete).toBe(true);
		expect(first.records + second.records).toBe(served.records.length);
		expectSame(archive, served);
		// And again: there is nothing new.
		expect((await begin(links[1], other)).records).toBe(0);
		expectSame(archive, served);
	});
});
