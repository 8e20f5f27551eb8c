// One of the threads that share a score's work: imports the module that it is told and answers each
// job with what that module's `part` makes of it.

import { parentPort, workerData } from "node:worker_threads";

const { part } = (await import(workerData as string)) as { part: (job: unknown) => unknown };
parentPort?.on("message", (job: unknown) => parentPort?.postMessage(part(job)));
