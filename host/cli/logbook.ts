// `lees pull`: the log from the link into the laptop's archive. Progress goes to standard error and
// only to a terminal.

import { Archive } from "../archive/archive.ts";
import { pull } from "../archive/pull.ts";
import { LinkClient } from "../link/client.ts";
import { EXIT } from "./exit.ts";

export interface PullOptions {
	readonly archive: string;
	readonly json?: boolean;
}

export async function pullLog(port: string, options: PullOptions): Promise<number> {
	const client = await LinkClient.open(port);
	const shows = process.stderr.isTTY;
	let archive: Archive | null = null;
	try {
		// Nothing is made before somebody answers.
		const hello = await client.call("hello", {});
		archive = new Archive(options.archive, { create: true });
		const pulled = await pull(client, hello, archive, (seq, durableSeq) => {
			if (shows) process.stderr.write(`\rrecord ${seq} of ${durableSeq}`);
		});
		if (shows) process.stderr.write("\n");
		const { rig, records, lastSeq } = pulled;
		const text =
			options.json === true
				? JSON.stringify(pulled, null, 2)
				: `${rig}: ${records} new records, up to record ${lastSeq}, in ${options.archive}`;
		process.stdout.write(`${text}\n`);
		return EXIT.good;
	} finally {
		await client.close();
		archive?.close();
	}
}
