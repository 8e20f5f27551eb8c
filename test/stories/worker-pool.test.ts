// Jobs dealt out: answers in the order of the jobs whoever finishes first, each hand with one job
// at a time, and a hand that fails names its job and ends the others.

import { describe, expect, it } from "vitest";
import { dealOut, type Hand, threadHand } from "../../host/cli/worker-pool.ts";

const nameOf = (job: number) => `job ${job}`;

/** Hands that answer in an order of the test's own. */
class Gate {
	readonly taken: number[] = [];
	ended = 0;
	private readonly doors = new Map<number, { open: () => void; fail: (error: Error) => void }>();

	hand(): Hand<number, string> {
		return {
			take: (job) => {
				this.taken.push(job);
				return new Promise((resolve, reject) => {
					this.doors.set(job, { open: () => resolve(`answer ${job}`), fail: reject });
				});
			},
			end: async () => {
				this.ended += 1;
			},
		};
	}

	async finish(job: number, failure?: Error): Promise<void> {
		const door = this.doors.get(job);
		if (failure === undefined) door?.open();
		else door?.fail(failure);
		await new Promise((resolve) => setImmediate(resolve));
	}
}

describe("dealing out", () => {
	it("gives the next job to whoever is free, and answers in the order of the jobs", async () => {
		const gate = new Gate();
		const begun: number[] = [];
		const done: string[] = [];
		const all = dealOut([1, 2, 3, 4], [gate.hand(), gate.hand()], {
			nameOf,
			onBegin: (job) => begun.push(job),
			onAnswer: (answer) => done.push(answer),
		});
		expect(gate.taken).toEqual([1, 2]);
		await gate.finish(2);
		expect(gate.taken).toEqual([1, 2, 3]);
		await gate.finish(3);
		await gate.finish(4);
		await gate.finish(1);
		expect(await all).toEqual(["answer 1", "answer 2", "answer 3", "answer 4"]);
		expect(done).toEqual(["answer 2", "answer 3", "answer 4", "answer 1"]);
		expect(begun).toEqual([1, 2, 3, 4]);
		expect(gate.ended).toBe(2);
	});

	it("fails with the job's name, ends every hand and deals no further job", async () => {
		const gate = new Gate();
		const all = dealOut([1, 2, 3, 4], [gate.hand(), gate.hand()], { nameOf });
		const failed = expect(all).rejects.toThrow("job 1: out of paper");
		await gate.finish(1, new Error("out of paper"));
		await failed;
		expect(gate.ended).toBe(2);
		await gate.finish(2);
		expect(gate.taken).toEqual([1, 2]);
	});

	it("of nothing is nothing", async () => {
		expect(await dealOut([], [new Gate().hand()], { nameOf })).toEqual([]);
	});
});

describe("a thread", () => {
	const thread = (body: string, data: unknown = null) => {
		const head = 'import { parentPort, workerData } from "node:worker_threads";';
		const text = `${head} parentPort.on("message", (job) => { ${body} });`;
		const file = new URL(`data:text/javascript,${encodeURIComponent(text)}`);
		return threadHand<number, number>(file, data);
	};

	it("answers each job with its data at hand", async () => {
		const hands = [10, 10].map((data) => thread("parentPort.postMessage(job * workerData);", data));
		expect(await dealOut([1, 2, 3, 4, 5], hands, { nameOf })).toEqual([10, 20, 30, 40, 50]);
	});

	it.each([
		["throws", 'if (job === 2) throw new Error("no such tank");', "job 2: no such tank"],
		["ends", "if (job === 2) process.exit(3);", "job 2: its thread ended with 3"],
	])("that %s names its job", async (_, body, says) => {
		const hand = thread(`${body} parentPort.postMessage(job);`);
		await expect(dealOut([1, 2, 3], [hand], { nameOf })).rejects.toThrow(says);
	});
});
