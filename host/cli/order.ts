// `lees order`: start, stop and acknowledge over the link. Says whether the controller took it, and
// why not; exit 1 when it did not.

import { randomUUID } from "node:crypto";
import { InputError } from "../../firmware/config/input-error.ts";
import { polishSchema } from "../../firmware/cycle/orders.ts";
import type { Decision } from "../../firmware/link/protocol.ts";
import { LinkClient } from "../link/client.ts";
import { EXIT } from "./exit.ts";

export interface PolishOptions {
	readonly tank: string;
	readonly litres?: number;
	readonly turnovers?: number;
	readonly dipLitres?: number;
	readonly attended?: boolean;
}

export async function orderPolish(port: string, options: PolishOptions): Promise<number> {
	const checked = polishSchema.safeParse(options);
	if (!checked.success) {
		const problems = checked.error.issues.map(({ path, message }) => {
			const key = path.map(String).join(".");
			return { file: "lees order polish", key, found: JSON.stringify(options), allowed: message };
		});
		throw new InputError(problems);
	}
	const polish = checked.data;
	return give(port, "polish", (client, id) => client.call("polish", { id, polish }));
}

export function orderStop(port: string): Promise<number> {
	return give(port, "stop", (client, id) => client.call("stop", { id }));
}

export function orderAcknowledge(port: string): Promise<number> {
	return give(port, "acknowledge", (client, id) => client.call("acknowledge", { id }));
}

async function give(
	port: string,
	what: string,
	ask: (client: LinkClient, id: string) => Promise<Decision>,
): Promise<number> {
	const client = await LinkClient.open(port);
	try {
		const { accepted, reasons } = await ask(client, randomUUID());
		const words = accepted ? "accepted" : `refused: ${reasons.join("; ")}`;
		process.stdout.write(`${what} ${words}\n`);
		return accepted ? EXIT.good : EXIT.doesNotHold;
	} finally {
		await client.close();
	}
}
