// Commissioning at rest: lamps, horn, button, loops, probe, zeros. What passes, what does not, and
// what nobody can get past.

import { describe, expect, it } from "vitest";
import { Prover } from "./prover.ts";

function counted(step: "lamps" | "horn", off = 0) {
	const world = new Prover();
	world.start(step);
	const from = world.history.length;
	world.passUntil(() => world.now?.asks === "answer", 60);
	const names = world.now?.entries ?? [];
	const seen = names.map((name) => [name, world.flashes(name as "horn", from)] as const);
	world.answer(Object.fromEntries(seen.map(([name, n], i) => [name, i === 0 ? n + off : n])));
	return { world, seen };
}

describe("lamps and horn", () => {
	it.each(["lamps", "horn"] as const)("%s: the right count passes", (step) => {
		const { world, seen } = counted(step);
		expect(seen.length).toBe(step === "lamps" ? 2 : 1);
		for (const [, times] of seen) expect(times).toBeGreaterThan(0);
		expect(world.last).toMatchObject({ step, passed: true, endedBy: null });
		expect(world.due(step)).toBeNull();
	});

	it.each(["lamps", "horn"] as const)("%s: a wrong count fails", (step) => {
		const { world } = counted(step, 1);
		expect(world.last).toMatchObject({ step, passed: false });
		expect(world.last?.reasons.join()).toMatch(/shown \d times, not \d/);
		expect(world.due(step)).toBe("never passed");
	});
});
