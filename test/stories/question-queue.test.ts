// Questions to the store's thread: all are answered, long ones one after the other, and a short one
// waits for one turn of a long one at most.

import { describe, expect, it } from "vitest";
import { QuestionQueue } from "../../firmware/log/question-queue.ts";

interface Question {
	readonly name: string;
	readonly turns: number;
}

/** Work at one question is lost when another one of several turns is worked at. */
function forgetful() {
	const answered: string[] = [];
	let work = { name: "", done: 0 };
	const queue = new QuestionQueue<Question>(
		({ turns }) => turns > 1,
		({ name, turns }) => {
			if (turns > 1) work = { name, done: work.name === name ? work.done + 1 : 1 };
			if (turns > 1 && work.done < turns) return false;
			answered.push(name);
			return true;
		},
	);
	/** @returns turns taken until nothing waits */
	const drain = () => {
		let turns = 0;
		for (; queue.length > 0 && turns < 1_000; turns += 1) queue.takeTurn();
		return turns;
	};
	return { queue, answered, drain };
}

describe("a queue of questions", () => {
	it("does one long one after the other, and no turn of them twice", () => {
		const { queue, answered, drain } = forgetful();
		const names = ["a", "b", "c", "d", "e", "f", "g"];
		for (const name of names) queue.push({ name, turns: 5 });
		expect(drain()).toBe(35);
		expect(answered).toEqual(names);
	});

	it("answers a short one after one turn of a long one at most", () => {
		const { queue, answered } = forgetful();
		queue.push({ name: "long", turns: 9 });
		queue.takeTurn();
		queue.push({ name: "short", turns: 1 });
		queue.takeTurn();
		queue.takeTurn();
		expect(answered).toEqual(["short"]);
	});

	it("does a long one however many short ones come", () => {
		const { queue, answered } = forgetful();
		queue.push({ name: "long", turns: 9 });
		for (let i = 0; i < 40; i += 1) {
			queue.push({ name: "short", turns: 1 });
			queue.takeTurn();
		}
		expect(answered).toContain("long");
	});

	it("gives away all that waits when it ends", () => {
		const { queue } = forgetful();
		queue.push({ name: "long", turns: 9 });
		queue.push({ name: "short", turns: 1 });
		expect(queue.takeAll().map(({ name }) => name)).toEqual(["short", "long"]);
		expect(queue.length).toBe(0);
		queue.takeTurn();
		expect(queue.length).toBe(0);
	});
});
