// A controller's log on a local socket, and pulls from it into an archive of the test's own: the
// real server, client and archive, no process.

import { mkdtempSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { listenLocally, serveClients } from "../../firmware/link/local-socket.ts";
import { Archive } from "../../host/archive/archive.ts";
import { type Pulled, pull } from "../../host/archive/pull.ts";
import { openLine } from "../../host/link/line.ts";
import { SteadyLink } from "../../host/link/steady-link.ts";
import type { linked } from "./link-rig.ts";

/** A pull that would go on for ever ends with it, ms. */
const PULL_MS_MAX = 20_000;

export async function pulledRig({ server }: Pick<ReturnType<typeof linked>, "server">) {
	const folder = mkdtempSync(join(tmpdir(), "lees-pulled-"));
	const socket = join(folder, "socket");
	const listener = await listenLocally(socket);
	serveClients(listener, server);
	const timer = setInterval(() => server.everyTick(), 20);
	const archive = new Archive(join(folder, "a.sqlite"), { create: true });
	const pullAll = async (): Promise<Pulled> => {
		const signal = AbortSignal.timeout(PULL_MS_MAX);
		const patience = { patienceMs: 1_000, listPorts: async () => [], open: openLine, signal };
		const link = await SteadyLink.open(socket, patience);
		const silent = { onProgress: () => {}, onLost: () => {} };
		const pulled = await pull({ link, archive, follow: false, signal, ...silent });
		await link.close();
		return pulled;
	};
	const close = () => {
		archive.close();
		clearInterval(timer);
		listener.close();
	};
	return { archive, pullAll, close };
}
