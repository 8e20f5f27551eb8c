// A link that outlives its cable: the client of now, and another one when the line is lost and has
// come back. It is the same controller's store or none. Nothing is asked again here: who asked
// knows whether it may be.

import { setTimeout as sleep } from "node:timers/promises";
import { InputError } from "../../firmware/config/input-error.ts";
import type { Result } from "../../firmware/link/protocol.ts";
import { LinkClient, NoAnswer } from "./client.ts";
import { type Device, identify, type Patience, waitForLine } from "./reconnect.ts";

/** Between two tries on a line that opens and has nobody on it, ms. */
const TRY_EVERY_MS = 250;

export class SteadyLink {
	client: LinkClient;
	hello: Result<"hello">;
	private readonly device: Device;
	private readonly patience: Patience;

	private constructor(
		client: LinkClient,
		hello: Result<"hello">,
		device: Device,
		patience: Patience,
	) {
		this.client = client;
		this.hello = hello;
		this.device = device;
		this.patience = patience;
	}

	/** The first time nobody is waited for. @throws InputError when nobody answers there */
	static async open(path: string, patience: Patience): Promise<SteadyLink> {
		const device = await identify(path, patience.listPorts);
		const client = new LinkClient(await patience.open(path));
		try {
			return new SteadyLink(client, await client.call("hello", {}), device, patience);
		} catch (error) {
			await client.close();
			throw error;
		}
	}

	/**
	 * Lets go of the line and waits until the same controller answers again.
	 * @returns false when the patience's signal ended the waiting
	 * @throws InputError when it does not come back, or another one does
	 */
	async again(): Promise<boolean> {
		const { patience, device, hello } = this;
		const untilMs = performance.now() + patience.patienceMs;
		await this.client.close();
		for (;;) {
			const patienceMs = Math.max(0, untilMs - performance.now());
			const line = await waitForLine(device, { ...patience, patienceMs });
			if (line === null) return false;
			const client = new LinkClient(line);
			const answer = await client.call("hello", {}).catch(async (error) => {
				if (error instanceof NoAnswer) return null;
				// An open line would keep the process.
				await client.close();
				throw error;
			});
			if (answer?.storeId === hello.storeId) {
				this.client = client;
				this.hello = answer;
				return true;
			}
			await client.close();
			if (answer !== null) throw otherStore(line.path, hello.storeId, answer.storeId);
			if (performance.now() >= untilMs) {
				const found = "a line that came back, and nobody who answers on it";
				throw new InputError([{ file: line.path, found, allowed: "the controller from before" }]);
			}
			const { signal } = patience;
			await sleep(TRY_EVERY_MS, undefined, { ...(signal && { signal }) }).catch(() => {});
		}
	}

	close(): Promise<void> {
		return this.client.close();
	}
}

function otherStore(file: string, before: string, now: string): InputError {
	const found = `another log than before (${now}, not ${before})`;
	return new InputError([{ file, found, allowed: "the same one, or a command begun anew" }]);
}
