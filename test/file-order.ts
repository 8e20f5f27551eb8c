// In which order the test files are taken, and by how many lanes at once. A lane a core plays what
// works, the longest first, so that the cores end together; one lane more plays what mostly waits:
// live rigs, which hold to the wall's clock and leave the cores to the others.

import { availableParallelism } from "node:os";
import { relative } from "node:path";
import { BaseSequencer, type TestSpecification } from "vitest/node";

interface Length {
	/** When it runs alone on two cores: to order by, nothing else hangs on it. */
	readonly seconds: number;
	/** It mostly waits for a clock, a line or a disk. */
	readonly waits: boolean;
}

const works = (seconds: number): Length => ({ seconds, waits: false });
const waits = (seconds: number): Length => ({ seconds, waits: true });

/** Those of more than ten seconds. `npm test` names the ones that are missing here. */
export const lengths: Readonly<Record<string, Length>> = {
	"test/e2e/emulated.test.ts": works(383),
	"test/e2e/commissioning.test.ts": works(210),
	"test/properties/scenarios.test.ts": works(222),
	"test/properties/statechart.test.ts": works(201),
	"test/e2e/live.test.ts": waits(192),
	"test/browser/whole-story.test.ts": waits(125),
	"test/e2e/bench-all.test.ts": works(87),
	"test/e2e/store-faults.test.ts": works(78),
	"test/e2e/kill.test.ts": works(75),
	"test/e2e/board-returns.test.ts": waits(72),
	"test/e2e/emulated-proof.test.ts": works(71),
	"test/browser/two-phones.test.ts": waits(70),
	"test/e2e/slow-disk.test.ts": waits(62),
	"test/e2e/determinism.test.ts": works(59),
	"test/e2e/commission.test.ts": waits(60),
	"test/e2e/log-failed.test.ts": waits(53),
	"test/e2e/pull.test.ts": waits(46),
	"test/e2e/replay-live.test.ts": waits(46),
	"test/e2e/line-faults.test.ts": waits(39),
	"test/e2e/link-kill.test.ts": waits(36),
	"test/e2e/service.test.ts": waits(40),
	"test/e2e/plugin.test.ts": waits(40),
	"test/properties/optional-sensor-faults.test.ts": works(35),
	"test/properties/failing-seeds.test.ts": works(35),
	"test/powercut/spoilt.test.ts": works(34),
	"test/e2e/link-noise.test.ts": waits(25),
	"test/properties/conservation.test.ts": works(23),
	"test/e2e/archive.test.ts": works(23),
	"test/properties/canaries.test.ts": works(23),
	"test/e2e/replay.test.ts": works(22),
	"test/powercut/power-cut.test.ts": works(21),
	"test/properties/campaign.test.ts": works(19),
	"test/e2e/watch.test.ts": waits(19),
	"test/e2e/guide.test.ts": waits(15),
	"test/e2e/bench.test.ts": works(16),
	"test/properties/sensor-faults.test.ts": works(14),
	"test/e2e/campaign.test.ts": works(13),
	"test/e2e/bad-input.test.ts": works(12),
	"test/properties/near-misses.test.ts": works(12),
	"test/tidy/imports.test.ts": works(12),
	"test/stories/forged-beat.test.ts": works(11),
	"test/e2e/serve-archive.test.ts": works(11),
	"test/stories/schedule.test.ts": works(10),
	"test/hardware/dead-man-times.test.ts": works(30),
	"test/hardware/dead-man-rest.test.ts": works(18),
	"test/browser/live-looks.test.ts": works(154),
	"test/e2e/first-look.test.ts": works(30),
	"test/browser/card.test.ts": works(23),
	"test/browser/logbook.test.ts": works(78),
	"test/browser/bench-looks.test.ts": works(55),
	"test/browser/season.test.ts": works(53),
	"test/browser/bench-story.test.ts": works(47),
	"test/e2e/serve-live.test.ts": waits(44),
	"test/browser/live-story.test.ts": works(26),
	"test/browser/bench-faults.test.ts": works(22),
};

/** What starts processes or a browser is a longer one than what does not. */
const lengthOf = (file: string): Length =>
	lengths[file] ?? works(/^test\/(e2e|browser)\//.test(file) ? 8 : 2);

const cores = availableParallelism();

/** How many files run at once. */
export const lanes = cores + 1;

/**
 * The files in the order in which lanes would begin them, each lane taking the longest of its own
 * kind and then of the other: longest processing time first (Graham 1969, from memory). Lanes that
 * take the next of this row whenever they are free have nearly that plan, since what is off in a
 * length moves few of them.
 */
export function inOrder(files: readonly string[], workLanes: number): string[] {
	const longestFirst = [...files].sort(
		(a, b) => lengthOf(b).seconds - lengthOf(a).seconds || (a < b ? -1 : 1),
	);
	const working = longestFirst.filter((file) => !lengthOf(file).waits);
	const waiting = longestFirst.filter((file) => lengthOf(file).waits);
	const freeAt = [0, ...Array.from({ length: workLanes }, () => 0)];
	const order: string[] = [];
	while (order.length < files.length) {
		const lane = freeAt.indexOf(Math.min(...freeAt));
		const [own, other] = lane === 0 ? [waiting, working] : [working, waiting];
		const file = own.shift() ?? other.shift();
		if (file === undefined) break;
		order.push(file);
		freeAt[lane] = (freeAt[lane] ?? 0) + lengthOf(file).seconds;
	}
	return order;
}

/** The order above as the test runner asks for it. */
export class LongestFirst extends BaseSequencer {
	override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
		const nameOf = ({ moduleId }: TestSpecification) => relative(this.ctx.config.root, moduleId);
		const place = new Map(inOrder(files.map(nameOf), cores).map((file, i) => [file, i]));
		const placeOf = (spec: TestSpecification) => place.get(nameOf(spec)) ?? 0;
		return [...files].sort((a, b) => placeOf(a) - placeOf(b));
	}
}
