// A pull notes what this computer's clock shows beside the controller's: only for a boot that the
// log has a record of, since another one may get the number of a boot that left none.

import { mkdtempSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, expect, it } from "vitest";
import { listenLocally, serveClients } from "../../firmware/link/local-socket.ts";
import { Archive } from "../../host/archive/archive.ts";
import { pull } from "../../host/archive/pull.ts";
import { openLine } from "../../host/link/line.ts";
import { SteadyLink } from "../../host/link/steady-link.ts";
import { linked, logOf, STORE_ID, sampleTexts } from "./link-rig.ts";

const closers: Array<() => void> = [];
afterEach(() => {
	for (const close of closers.splice(0).reverse()) close();
});

/** Pulls twice from a controller in its first boot, whose log has records of another one or not. */
async function sightedBoots(bootOfRecords: number): Promise<number[][]> {
	const folder = mkdtempSync(join(tmpdir(), "lees-sighting-"));
	const { server } = linked(logOf(sampleTexts(5, bootOfRecords)));
	const socket = join(folder, "socket");
	const listener = await listenLocally(socket);
	serveClients(listener, server);
	const timer = setInterval(() => server.everyTick(), 20);
	const archive = new Archive(join(folder, "a.sqlite"), { create: true });
	closers.push(
		() => listener.close(),
		() => clearInterval(timer),
		() => archive.close(),
	);
	const boots: number[][] = [];
	for (let n = 0; n < 2; n += 1) {
		const { signal } = new AbortController();
		const patience = { patienceMs: 1_000, listPorts: async () => [], open: openLine, signal };
		const link = await SteadyLink.open(socket, patience);
		const silent = { onProgress: () => {}, onLost: () => {} };
		const pulled = await pull({ link, archive, follow: false, signal, ...silent });
		await link.close();
		expect(pulled.lastSeq).toBe(5);
		boots.push(archive.sightings(STORE_ID).map(({ boot }) => boot));
	}
	return boots;
}

it("is kept of a boot that has a record, at the first pull and at the next", async () => {
	expect(await sightedBoots(1)).toEqual([[1], [1, 1]]);
});

it("is not kept of a boot that has none", async () => {
	expect(await sightedBoots(2)).toEqual([[], []]);
});
