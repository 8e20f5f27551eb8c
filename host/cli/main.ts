#!/usr/bin/env node
// Where the `lees` command begins. What runs for months is made small before anything is loaded:
// what V8 has optimized by then, and the compiler that did it, would stay in memory.

if (process.argv[2] === "control") {
	const { keepMemorySmall } = await import("./memory.ts");
	keepMemorySmall();
}
await import("./program.ts");

export {};
