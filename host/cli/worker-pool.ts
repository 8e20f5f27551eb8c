// Jobs dealt out among several hands, each to whichever is free: a hand is a thread, or a function
// that starts a process. Answers come in the order of the jobs, whoever finished first; a hand that
// fails names its job. Imports Node only.

import { Worker } from "node:worker_threads";

/** Does one job at a time. */
export interface Hand<Job, Answer> {
	take(job: Job): Promise<Answer>;
	/** Nothing more is coming; or, in mid-job, the job is given up. */
	end(): Promise<void>;
}

export interface Dealing<Job, Answer> {
	/** How a job is called where its hand fails. */
	readonly nameOf: (job: Job) => string;
	readonly onBegin?: (job: Job) => void;
	/** In the order in which they finish. */
	readonly onAnswer?: (answer: Answer, job: Job) => void;
}

/**
 * The jobs' answers in the jobs' order.
 * @param hands made here, ended here, also when one of them fails
 * @throws Error that names the job, when a hand fails
 */
export async function dealOut<Job, Answer>(
	jobs: readonly Job[],
	hands: ReadonlyArray<Hand<Job, Answer>>,
	{ nameOf, onBegin, onAnswer }: Dealing<Job, Answer>,
): Promise<Answer[]> {
	const answers: Answer[] = [];
	// One row for all hands: whoever is free takes the next.
	const row = jobs.entries();
	let isOver = false;
	const work = async (hand: Hand<Job, Answer>) => {
		for (const [place, job] of row) {
			if (isOver) return;
			onBegin?.(job);
			const answer = await hand.take(job).catch((error: unknown) => {
				const why = error instanceof Error ? error.message : String(error);
				throw new Error(`${nameOf(job)}: ${why}`, { cause: error });
			});
			answers[place] = answer;
			onAnswer?.(answer, job);
		}
	};
	try {
		await Promise.all(hands.map(work));
	} finally {
		isOver = true;
		await Promise.all(hands.map((hand) => hand.end()));
	}
	return answers;
}

/**
 * A thread that answers each message with one of its own.
 * @param file the built module of the thread
 * @param data what the thread finds in `workerData`
 */
export function threadHand<Job, Answer>(file: URL, data: unknown): Hand<Job, Answer> {
	const thread = new Worker(file, { workerData: data });
	let failure: Error | null = null;
	let settle: { resolve: (answer: Answer) => void; reject: (error: Error) => void } | null = null;
	const fail = (error: Error) => {
		failure ??= error;
		settle?.reject(failure);
	};
	thread.on("message", (answer: Answer) => settle?.resolve(answer));
	thread.on("error", (error) => fail(error instanceof Error ? error : new Error(String(error))));
	thread.on("messageerror", fail);
	thread.on("exit", (code) => fail(new Error(`its thread ended with ${code}`)));
	return {
		take: (job) =>
			new Promise((resolve, reject) => {
				settle = { resolve, reject };
				// What came between two jobs is met by the next one.
				if (failure === null) thread.postMessage(job);
				else reject(failure);
			}),
		end: async () => {
			await thread.terminate();
		},
	};
}
