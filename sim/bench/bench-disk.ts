// The disk under the bench's log. A record is durable by the next tick; on a slow disk so much
// later. What is on its way is never lost here: a power cut that loses it has tests of its own.

import type { TickInputs } from "../../firmware/controller.ts";
import type { LogRecord } from "../../firmware/log/record.ts";
import type { RigModel } from "../rig.ts";

export class BenchDisk {
	/** Number of the last record that is durable. */
	private durableSeq = 0;
	/** What is on its way, first to last. */
	private waiting: LogRecord[] = [];

	write(records: readonly LogRecord[]): void {
		this.waiting.push(...records);
	}

	/** How it stands before this tick. */
	stand(nowMs: number, model: RigModel): TickInputs["log"] {
		const failed = model.has("log-fails");
		const slowMs = 1000 * model.sizeOf("log-slow");
		if (this.waiting.length > 0) this.settle(nowMs, slowMs);
		const [oldest] = this.waiting;
		const ageMs = oldest === undefined ? 0 : nowMs - oldest.monoMs;
		return { durableSeq: this.durableSeq, ageMs, failed };
	}

	private settle(nowMs: number, slowMs: number): void {
		const { waiting } = this;
		const isOnItsWay = ({ monoMs }: LogRecord) => nowMs - monoMs <= slowMs;
		const first = slowMs === 0 ? -1 : waiting.findIndex(isOnItsWay);
		const settled = first < 0 ? waiting.length : first;
		this.durableSeq = waiting[settled - 1]?.seq ?? this.durableSeq;
		this.waiting = waiting.slice(settled);
	}
}
