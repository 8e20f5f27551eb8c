// Where the time of some work goes: V8's own sampling, by part of the project. A part is the files
// that others call it by; whatever they call in turn, packages too, counts for the part, until the
// call reaches another part. Imports Node's inspector.

import { type Profiler, Session } from "node:inspector/promises";

/** Shares of the samples, largest first. */
export interface TimeShares {
	readonly byPart: ReadonlyArray<readonly [string, number]>;
	readonly byFunction: ReadonlyArray<readonly [string, number]>;
}

/** A part of the project, and the files that it is called by. */
export type Part = readonly [name: string, files: RegExp];

const GARBAGE = "garbage collection";
const OTHER = "the rest";
const INTERVAL_US = 200;

/** The path of a file of this project, as built; null for a package's or the language's. */
function ownFile(url: string): string | null {
	const [, file] = url.split("/.build/");
	return file ?? null;
}

/** The part that a function begins; null where it belongs to whatever called it. */
function partOf(frame: Profiler.ProfileNode["callFrame"], parts: readonly Part[]): string | null {
	if (frame.functionName === "(garbage collector)") return GARBAGE;
	const file = ownFile(frame.url);
	if (file === null) return null;
	return parts.find(([, files]) => files.test(file))?.[0] ?? null;
}

/** Runs the work under the profiler. */
export async function profile(work: () => void, parts: readonly Part[]): Promise<TimeShares> {
	const session = new Session();
	session.connect();
	await session.post("Profiler.enable");
	await session.post("Profiler.setSamplingInterval", { interval: INTERVAL_US });
	await session.post("Profiler.start");
	work();
	const { profile: found } = await session.post("Profiler.stop");
	session.disconnect();
	return sharesOf(found, parts);
}

function sharesOf({ nodes }: Profiler.Profile, parts: readonly Part[]): TimeShares {
	const byId = new Map(nodes.map((node) => [node.id, node]));
	const byPart = new Map<string, number>();
	const byFunction = new Map<string, number>();
	let all = 0;
	const add = (to: Map<string, number>, name: string, hits: number) =>
		to.set(name, (to.get(name) ?? 0) + hits);
	const walk = (id: number, caller: string) => {
		const node = byId.get(id);
		if (node === undefined) return;
		const { callFrame, hitCount = 0, children = [] } = node;
		const part = partOf(callFrame, parts) ?? caller;
		const file = ownFile(callFrame.url);
		all += hitCount;
		add(byPart, part, hitCount);
		if (file !== null)
			add(byFunction, `${callFrame.functionName || "(nameless)"} ${file}`, hitCount);
		for (const child of children) walk(child, part);
	};
	const [root] = nodes;
	if (root !== undefined) walk(root.id, OTHER);
	const sorted = (hits: ReadonlyMap<string, number>) =>
		[...hits]
			.map(([name, count]) => [name, count / all] as const)
			.filter(([, share]) => share > 0)
			.sort((a, b) => b[1] - a[1]);
	return { byPart: sorted(byPart), byFunction: sorted(byFunction) };
}
