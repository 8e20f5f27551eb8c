// `lees serve`: the pages for phones and browsers, from this computer alone. With a port it looks
// at a controller over its link and hands on what paired pages order; without one it serves the
// bench and what the archive tells.

import { join } from "node:path";
import { Archive } from "../archive/archive.ts";
import type { HookOptions } from "../bridges/hook-settings.ts";
import { ArchiveDesk, type Asked, type ThreadAnswer } from "../serve/archive-desk.ts";
import { ArchivePulls } from "../serve/archive-keeping.ts";
import { type Listen, readListen, urlsOf } from "../serve/listen-address.ts";
import { LiveLink } from "../serve/live-link.ts";
import { openServer } from "../serve/server.ts";
import { EXIT } from "./exit.ts";
import { projectRoot } from "./root.ts";
import { hearLink, hooksOf } from "./serve-hooks.ts";
import { endSignal } from "./signals.ts";
import { threadHand } from "./worker-pool.ts";

export interface ServeOptions extends HookOptions {
	readonly listen: string;
	readonly name: readonly string[];
	readonly archive?: string;
}

/** Runs until a signal. @throws InputError */
export async function serve(port: string | undefined, options: ServeOptions): Promise<number> {
	const listen = readListen(options.listen);
	const { archive } = options;
	const hooks = hooksOf(port, options, tell);
	// With a controller it is made when there is something to put in.
	if (archive !== undefined && port === undefined) new Archive(archive, { create: false }).close();
	const { signal } = endSignal();
	const pulls = archive === undefined ? null : new ArchivePulls(archive, tell);
	const link =
		port === undefined
			? null
			: new LiveLink({ port, signal, tell, ...(pulls !== null && { archive: pulls }) });
	const desk = archive === undefined ? null : new ArchiveDesk({ open: () => askThread(archive) });
	const serving = await openServer({
		listen,
		names: options.name,
		link,
		webFolder: join(projectRoot, ".build/web"),
		extra: (app) => {
			if (desk !== null) app.route("/", desk.routes());
		},
		showCode: (code) => tell(`a page asks to be paired, for notes alone; its code is ${code}`),
		tell,
	});
	if (hooks !== null && link !== null) hearLink(hooks, link);
	sayWhere(listen, serving.port, link !== null);
	try {
		await (link?.run() ?? ended(signal));
	} finally {
		pulls?.close();
		await hooks?.end();
		await serving.close();
		await desk?.close();
	}
	return EXIT.good;
}

const askThread = (file: string) =>
	threadHand<Asked, ThreadAnswer>(new URL("../serve/archive-thread.js", import.meta.url), { file });

function sayWhere({ host, isLoopback }: Listen, port: number, hasController: boolean): void {
	for (const url of urlsOf(host, port)) say(`pages at ${url}`);
	if (!isLoopback) {
		say("This is plain HTTP: whoever is on that network can look. Orders need the rig's code.");
	}
	if (hasController) {
		say("Pages can start a pump. The stop button is at the rig. Diesel burns; never petrol.");
	}
	say("Ctrl-C ends the server; a rig at work goes on.");
}

const ended = (signal: AbortSignal) =>
	new Promise<void>((resolve) => {
		if (signal.aborted) resolve();
		// A server without a controller has a socket that keeps the process.
		else signal.addEventListener("abort", () => resolve(), { once: true });
	});

function say(line: string): void {
	process.stdout.write(`${line}\n`);
}

function tell(line: string): void {
	process.stderr.write(`${line}\n`);
}
