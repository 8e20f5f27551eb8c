// Starts an emulated run in a process of its own and waits for its result. The child is the built
// JavaScript, also when this file itself is run from source by the tests.

import { fork } from "node:child_process";
import { fileURLToPath } from "node:url";
import { type BootMessage, unpackBoots } from "./boot-message.ts";
import type { EmulatedJob } from "./child.ts";
import type { EmulatedRun } from "./lockstep.ts";

type Answer =
	| { readonly run: Omit<EmulatedRun, "boots">; readonly boots: readonly BootMessage[] }
	| { readonly failure: string };

/** @param child path of the built child.js @throws Error when the run fails */
export function runInProcess(job: EmulatedJob, child = builtChild()): Promise<EmulatedRun> {
	return new Promise((resolve, reject) => {
		const process = fork(child, { stdio: ["ignore", "inherit", "inherit", "ipc"] });
		process.once("message", (answer: Answer) => {
			if ("run" in answer) resolve({ ...answer.run, boots: unpackBoots(answer.boots) });
			else reject(new Error(answer.failure));
		});
		process.once("exit", (code) => reject(new Error(`the emulated run ended with ${code}`)));
		process.send(job);
	});
}

function builtChild(): string {
	return fileURLToPath(new URL("child.js", import.meta.url));
}
