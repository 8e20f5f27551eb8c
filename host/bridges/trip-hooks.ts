// Messages ashore: what happens aboard is handed to a program, to an address, or to both. It only
// listens: whatever becomes of a message, who feeds it goes on at once and hears nothing of it.

import { randomUUID } from "node:crypto";
import type { Status } from "../../firmware/link/protocol.ts";
import type { LinkState } from "../web/scene.ts";
import { type HookTimes, runHook } from "./command-hook.ts";
import type { HookSettings } from "./hook-settings.ts";
import { type Message, tamed } from "./news.ts";
import { NewsWatch } from "./news-watch.ts";
import { Outbox } from "./outbox.ts";
import { postMessage } from "./webhook.ts";

export interface TripHookParts {
	/** One line for who looks at this computer's terminal. */
	readonly tell: (line: string) => void;
	/** Monotonic, ms. */
	readonly clock?: () => number;
	readonly times?: HookTimes;
	readonly retryMs?: number;
}

/** Also looked at without a change: a lost controller changes nothing any more. */
const LOOK_EVERY_MS = 1_000;
const END_MS = 2_000;

interface Heard {
	readonly status: Status | null;
	readonly link: LinkState;
	readonly rig: string;
}

export class TripHooks {
	private readonly watch: NewsWatch;
	private readonly boxes: readonly Outbox[];
	private readonly clock: () => number;
	private readonly timer: NodeJS.Timeout;
	private heard: Heard | null = null;

	constructor({ command, webhook, againMs }: HookSettings, parts: TripHookParts) {
		const { tell, clock = () => performance.now(), times, retryMs } = parts;
		this.clock = clock;
		this.watch = new NewsWatch({ againMs });
		const retry = retryMs === undefined ? {} : { retryMs, retryMsMax: 8 * retryMs };
		const boxes: Outbox[] = [];
		if (command !== null) {
			const send = (message: Message, signal: AbortSignal) =>
				runHook(command, message, signal, times);
			boxes.push(new Outbox({ name: `the program ${command}`, send, tell }));
		}
		if (webhook !== null) {
			const send = (message: Message, signal: AbortSignal) => postMessage(webhook, message, signal);
			// Its path may hold a secret.
			boxes.push(new Outbox({ name: `the webhook at ${webhook.origin}`, send, tell, ...retry }));
		}
		this.boxes = boxes;
		this.timer = setInterval(() => this.look(), LOOK_EVERY_MS);
		this.timer.unref();
	}

	/** @param rig its name, where it is known */
	onScene(status: Status | null, link: LinkState, rig = ""): void {
		this.heard = { status, link, rig };
		this.look();
	}

	/** Ends within a few seconds, whatever hangs. */
	async end(): Promise<void> {
		clearInterval(this.timer);
		this.heard = null;
		await Promise.all(this.boxes.map((box) => box.end(END_MS)));
	}

	private look(): void {
		if (this.heard === null) return;
		const { status, link, rig } = this.heard;
		for (const news of this.watch.look(status, link, rig, this.clock())) {
			const message = { ...tamed(news), id: randomUUID(), at: new Date().toISOString() };
			for (const box of this.boxes) box.put(message);
		}
	}
}
