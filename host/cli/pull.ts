// `lees pull`: the log from the link into the laptop's archive. Progress goes to standard error and
// only to a terminal; what it got, to standard output.

import { Archive } from "../archive/archive.ts";
import { datedBoots } from "../archive/dated-boots.ts";
import { type Pulled, pull } from "../archive/pull.ts";
import { systemPorts } from "../link/reconnect.ts";
import { SteadyLink } from "../link/steady-link.ts";
import { keptWords, progressWords, pulledWords } from "../report/pull-words.ts";
import { EXIT } from "./exit.ts";
import { tell } from "./progress.ts";
import { endSignal } from "./signals.ts";

export interface PullCommandOptions {
	readonly archive: string;
	readonly follow?: boolean;
	readonly patienceSeconds: number;
	readonly json?: boolean;
}

/** Progress on a terminal is renewed so often at most, ms. */
const TELL_EVERY_MS = 200;

/** @throws InputError */
export async function pullLog(port: string, options: PullCommandOptions): Promise<number> {
	const { signal } = endSignal();
	const patience = { ...systemPorts, patienceMs: options.patienceSeconds * 1000, signal };
	// Nothing is made before somebody answers.
	const link = await SteadyLink.open(port, patience);
	let archive: Archive | null = null;
	try {
		archive = new Archive(options.archive, { create: true });
		const beganMs = performance.now();
		let toldMs = 0;
		let latest: Pulled | null = null;
		const pulled = await pull({
			link,
			archive,
			follow: options.follow === true,
			signal,
			onProgress: (so) => {
				latest = so;
				const nowMs = performance.now();
				if (nowMs - toldMs < TELL_EVERY_MS) return;
				toldMs = nowMs;
				tell(progressWords(so, nowMs - beganMs));
			},
			onLost: () => tell("the line is lost; waiting for it to come back"),
		}).catch((error) => {
			tell("");
			if (latest !== null) process.stderr.write(`${keptWords(latest, options.archive)}\n`);
			throw error;
		});
		tell("");
		const dates = datedBoots(archive, pulled.storeId);
		const text =
			options.json === true
				? JSON.stringify({ ...pulled, ...dates }, null, 2)
				: pulledWords(pulled, options.archive, dates).join("\n");
		process.stdout.write(`${text}\n`);
		return pulled.isComplete || options.follow === true ? EXIT.good : EXIT.doesNotHold;
	} finally {
		tell("");
		await link.close();
		archive?.close();
	}
}
