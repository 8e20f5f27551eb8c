// How a stop goes to the controller: at once, beside whatever else is under way. Only a flood of
// stops is gathered: those that come while none may be sent share the next one, a second later at
// most, since each is written into a log that is never thinned. Pure but for its timer.

import type { Decision } from "../../firmware/link/protocol.ts";

/** Stops that may be sent at once. */
const AT_ONCE = 20;
/** After so long one more may be sent, ms. */
const ONE_MORE_MS = 1_000;

type Send = (id: string) => Promise<Decision | null>;

export class StopLane {
	private readonly send: Send;
	private left = AT_ONCE;
	private refilledMs = performance.now();
	/** Sent when one may be; everybody who came meanwhile waits for it. */
	private next: Promise<Decision | null> | null = null;

	constructor(send: Send) {
		this.send = send;
	}

	stop(id: string): Promise<Decision | null> {
		const nowMs = performance.now();
		const more = Math.floor((nowMs - this.refilledMs) / ONE_MORE_MS);
		this.left = Math.min(AT_ONCE, this.left + more);
		this.refilledMs += more * ONE_MORE_MS;
		if (this.left > 0) {
			this.left -= 1;
			return this.send(id);
		}
		const waitMs = this.refilledMs + ONE_MORE_MS - nowMs;
		this.next ??= new Promise<Decision | null>((resolve) => {
			setTimeout(() => {
				this.next = null;
				resolve(this.stop(id));
			}, waitMs);
		});
		return this.next;
	}
}
