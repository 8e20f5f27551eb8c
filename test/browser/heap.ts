// Bytes on the heaps of a page and of its worker after a forced collection, by the browser's own
// debugging protocol (Chrome DevTools Protocol: HeapProfiler, Runtime, Target).

import type { CDPSession, Page } from "playwright-core";

export interface Heaps {
	readonly pageBytes: number;
	readonly workerBytes: number;
}

/** Arrays of numbers keep their contents beside the heap. */
interface Usage {
	readonly usedSize: number;
	readonly backingStorageSize?: number;
}
type Answered = { readonly id: number; readonly result?: Usage };

export class HeapScale {
	private readonly page: CDPSession;
	private workerSession = "";
	private asked = 0;

	private constructor(page: CDPSession) {
		this.page = page;
	}

	/** Of a page that has one worker. */
	static async of(page: Page): Promise<HeapScale> {
		const session = await page.context().newCDPSession(page);
		const scale = new HeapScale(session);
		const attached = new Promise<string>((resolve) => {
			session.on("Target.attachedToTarget", ({ sessionId, targetInfo }) => {
				if (targetInfo.type === "worker") resolve(sessionId);
			});
		});
		const follow = { autoAttach: true, waitForDebuggerOnStart: false, flatten: false };
		await session.send("Target.setAutoAttach", follow);
		scale.workerSession = await attached;
		return scale;
	}

	async weigh(): Promise<Heaps> {
		// What a first collection sets free may hold something back until a second one.
		for (let i = 0; i < 2; i += 1) {
			await this.page.send("HeapProfiler.collectGarbage");
			await this.askWorker("HeapProfiler.collectGarbage");
		}
		const ofPage: Usage = await this.page.send("Runtime.getHeapUsage");
		const { result } = await this.askWorker("Runtime.getHeapUsage");
		return { pageBytes: bytesOf(ofPage), workerBytes: bytesOf(result) };
	}

	private async askWorker(method: string): Promise<Answered> {
		this.asked += 1;
		const id = this.asked;
		const { page, workerSession: sessionId } = this;
		const answer = new Promise<Answered>((resolve) => {
			const take = ({ message }: { message: string }) => {
				const said: Answered = JSON.parse(message);
				if (said.id !== id) return;
				page.off("Target.receivedMessageFromTarget", take);
				resolve(said);
			};
			page.on("Target.receivedMessageFromTarget", take);
		});
		const message = JSON.stringify({ id, method });
		await page.send("Target.sendMessageToTarget", { sessionId, message });
		return answer;
	}
}

const bytesOf = (usage: Usage | undefined): number =>
	usage === undefined ? Number.NaN : usage.usedSize + (usage.backingStorageSize ?? 0);
