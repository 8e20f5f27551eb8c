// Keeps a long-running command small. V8 lets the part of the heap for young objects grow to tens
// of megabytes while modules load, once for each thread, and keeps it: a controller makes some
// kilobytes a tick, and the megabyte that it begins with does. And the optimizing compiler's own
// memory is of no use to a tick that has 100 ms and takes one. Imports Node only.

import { setFlagsFromString } from "node:v8";

/** To be called before the command's own modules are loaded, and after each start of a thread. */
export function keepMemorySmall(): void {
	setFlagsFromString("--semi-space-growth-factor=1");
	setFlagsFromString("--no-opt");
}
