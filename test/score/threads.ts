// Shares the parts of a score among threads, two at most: the machine may have other work. A part
// is a pure function of its job, so that the answers do not depend on who did what.

import { availableParallelism } from "node:os";
import { Worker } from "node:worker_threads";

const THREADS_MAX = 2;

/**
 * Answers in the order of the jobs.
 * @param module address of a module that exports `part(job)`: `import.meta.url` of the score's own
 */
export async function shareOut<Job, Answer>(
	module: string,
	jobs: readonly Job[],
): Promise<Answer[]> {
	const answers: Answer[] = [];
	let next = 0;
	const work = () =>
		new Promise<void>((resolve, reject) => {
			const worker = new Worker(new URL("./worker.js", import.meta.url), { workerData: module });
			let at = -1;
			const give = () => {
				at = next;
				next += 1;
				if (at < jobs.length) worker.postMessage(jobs[at]);
				else void worker.terminate().then(() => resolve());
			};
			worker.on("message", (answer: Answer) => {
				answers[at] = answer;
				give();
			});
			worker.on("error", reject);
			give();
		});
	const count = Math.min(THREADS_MAX, availableParallelism(), jobs.length);
	await Promise.all(Array.from({ length: count }, work));
	return answers;
}
