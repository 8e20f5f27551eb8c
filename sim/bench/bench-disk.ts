// The disk under the bench's log. A record is durable by the next tick; on a slow disk so much
// later. What is on its way is never lost here: a power cut that loses it has tests of its own.

import type { TickInputs } from "../../firmware/controller.ts";
import type { LogRecord } from "../../firmware/log/record.ts";
import type { RigModel } from "../rig.ts";

export class BenchDisk {
	/** So many records are durable. */
	private durable = 0;

	/** @param records all that were written before this tick, numbered from 1 */
	stand(records: readonly LogRecord[], nowMs: number, model: RigModel): TickInputs["log"] {
		const failed = model.has("log-fails");
		const slowMs = 1000 * model.sizeOf("log-slow");
		if (slowMs === 0) this.durable = records.length;
		let oldest = records[this.durable];
		while (oldest !== undefined && nowMs - oldest.monoMs > slowMs) {
			this.durable += 1;
			oldest = records[this.durable];
		}
		const ageMs = oldest === undefined ? 0 : nowMs - oldest.monoMs;
		return { durableSeq: this.durable, ageMs, failed };
	}
}
