// The desk before the archive's thread, with hands that the test opens: one question at a time,
// few waiting, and what becomes of a thread that fails, hangs or is no longer wanted.

import { describe, expect, it } from "vitest";
import {
	ArchiveDesk,
	type ArchiveHand,
	type Asked,
	type ThreadAnswer,
} from "../../host/serve/archive-desk.ts";

const good: ThreadAnswer = { status: 200, headers: {}, body: new Uint8Array() };
const asking = (url: string) => async (): Promise<Asked> => ({
	url,
	body: null,
	session: { may: "look", endsInMs: null },
});

/** Hands that answer when they are told to. */
class Hands {
	readonly taken: string[] = [];
	opened = 0;
	ended = 0;
	readonly answers: Array<{ give: (answer: ThreadAnswer) => void; fail: (error: Error) => void }> =
		[];

	readonly open = (): ArchiveHand => {
		this.opened += 1;
		return {
			take: ({ url }) => {
				this.taken.push(url);
				return new Promise((give, fail) => this.answers.push({ give, fail }));
			},
			end: async () => {
				this.ended += 1;
			},
		};
	};
}

const settled = () => new Promise((resolve) => setTimeout(resolve, 5));
const statusOf = (asked: Promise<unknown>) =>
	asked.then(
		() => 200,
		(error) => error.status as number,
	);

describe("questions", () => {
	it("are taken one at a time, in the order in which they came", async () => {
		const hands = new Hands();
		const desk = new ArchiveDesk({ open: hands.open });
		const all = ["a", "b"].map((url) => desk.ask("phone", asking(url)));
		await settled();
		expect(hands.taken).toEqual(["a"]);
		hands.answers[0]?.give(good);
		await all[0];
		await settled();
		expect(hands.taken).toEqual(["a", "b"]);
		hands.answers[1]?.give(good);
		expect(await all[1]).toBe(good);
		expect(hands.opened).toBe(1);
	});

	it("are few of one address", async () => {
		const hands = new Hands();
		const desk = new ArchiveDesk({ open: hands.open });
		for (const url of ["a", "b", "c", "d"]) void desk.ask("one", asking(url));
		expect(await statusOf(desk.ask("one", asking("e")))).toBe(503);
		void desk.ask("two", asking("f"));
		for (let n = 0; n < 5; n += 1) {
			await settled();
			hands.answers[n]?.give(good);
		}
		await settled();
		expect(hands.taken).toEqual(["a", "b", "c", "d", "f"]);
	});

	it("are few in all; a refused one is never read", async () => {
		const hands = new Hands();
		const desk = new ArchiveDesk({ open: hands.open });
		const asked = ["one", "two", "three"].flatMap((address) =>
			[1, 2, 3, 4].map((n) => desk.ask(address, asking(`${address}-${n}`))),
		);
		let isRead = false;
		const read = async () => {
			isRead = true;
			return asking("late")();
		};
		expect(await statusOf(desk.ask("four", read))).toBe(503);
		expect(isRead).toBe(false);
		for (let n = 0; n < asked.length; n += 1) {
			await settled();
			hands.answers[n]?.give(good);
		}
		await Promise.all(asked);
		const again = desk.ask("one", asking("again"));
		await settled();
		hands.answers.at(-1)?.give(good);
		expect(await again).toBe(good);
	});

	it("of whoever has gone are not taken", async () => {
		const hands = new Hands();
		const desk = new ArchiveDesk({ open: hands.open });
		const first = desk.ask("phone", asking("first"));
		const gone = statusOf(desk.ask("phone", asking("gone"), () => false));
		await settled();
		hands.answers[0]?.give(good);
		await first;
		expect(await gone).toBe(503);
		expect(hands.taken).toEqual(["first"]);
	});
});

describe("a thread", () => {
	it("that fails or does not answer is ended, and the next question has a new one", async () => {
		const hands = new Hands();
		const desk = new ArchiveDesk({ open: hands.open, patienceMs: 30 });
		const failed = desk.ask("phone", asking("fails"));
		const late = statusOf(desk.ask("phone", asking("hangs")));
		const next = desk.ask("phone", asking("next"));
		await settled();
		hands.answers[0]?.fail(new Error("its thread ended with 1"));
		await expect(failed).rejects.toThrow("its thread ended");
		expect(await late).toBe(504);
		await settled();
		hands.answers[2]?.give(good);
		expect(await next).toBe(good);
		expect([hands.opened, hands.ended]).toEqual([3, 2]);
	});

	it("is begun for no question after the end", async () => {
		const hands = new Hands();
		const desk = new ArchiveDesk({ open: hands.open });
		await desk.close();
		expect(await statusOf(desk.ask("phone", asking("late")))).toBe(503);
		expect(hands.opened).toBe(0);
	});
});
