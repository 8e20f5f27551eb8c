// What a session that runs for days lets go of its log: samples and events that nothing reads any
// more. A restart finds all that it would have found; trips, boots and ends of runs are all kept.
// Pure but for the list it is given.

import type { LogRecord } from "../../firmware/log/record.ts";

type Kind = LogRecord["kind"];

/** So many of the latest records are kept, whatever they are. */
const LATEST = 1_000;

/** Read by `recover`, or by whoever sums the run up. */
const kept: ReadonlySet<Kind> = new Set<Kind>([
	"boot",
	"trip",
	"drain-seen",
	"acknowledged",
	"planned",
	"plan-ended",
	"proof",
	"part-changed",
	"fill",
	"fill-struck",
	"run-begin",
	"run-end",
	"interrupted",
]);
/** Of these the last one alone is read. */
const keptLast: ReadonlySet<Kind> = new Set<Kind>(["unordered", "restriction", "sample"]);

export class Forgetting {
	/** Records that are left after the last time. */
	private left = 0;

	/** Takes out, in place, what is old and not read any more; now and then, when it is worth it. */
	trim(records: LogRecord[]): void {
		if (records.length < this.left + 2 * LATEST) return;
		const latest = records.splice(-LATEST);
		const seen = new Set(latest.map(({ kind }) => kind));
		const old = records.splice(0).reverse();
		const stays = old.filter(({ kind }) => {
			const isLast = keptLast.has(kind) && !seen.has(kind);
			seen.add(kind);
			return isLast || kept.has(kind);
		});
		records.push(...stays.reverse(), ...latest);
		this.left = records.length - LATEST;
	}
}
