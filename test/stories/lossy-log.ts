// A log server as fetch.ts sees it: numbered records in frames of ten, newest transfer first,
// credit and pauses, over a line that loses what it likes. Time goes in steps of one frame. No
// clock, no line: the dice are seeded.

import { uniformFloat64 } from "pure-rand/distribution/uniformFloat64";
import { xoroshiro128plus } from "pure-rand/generator/xoroshiro128plus";
import { type Ask, Fetch, type Pause, type Span } from "../../host/link/fetch.ts";

const RECORDS_A_FRAME = 10;
/** A frame of 512 B at 115,200 baud. */
const FRAME_MS = 44;
/** There and back again, in frames. */
const DELAY_FRAMES = 3;

interface Served {
	readonly id: number;
	next: number;
	readonly to: number;
	readonly follow: boolean;
	credit: number;
}

type Reply =
	| { readonly transfer: number; readonly batch: Span }
	| { readonly answers: number; readonly askedMs: number }
	| { readonly pause: Pause };

export interface Outcome {
	/** As they were handed on. */
	readonly got: Span[];
	readonly frames: number;
	readonly framesLost: number;
	readonly elapsedMs: number;
	readonly fetch: Fetch<Span>;
}

export interface Losses {
	readonly seed: number;
	/** Share of frames, requests and pauses that are lost. */
	readonly lost: number;
	/** Share of frames that come after the one behind them. */
	readonly swapped?: number;
	/** Nothing passes from the first to the second, ms. */
	readonly deafMs?: readonly [from: number, to: number];
}

/** Plays until all of `1` to `last` is there, or an hour has gone by. */
export function playFetch(last: number, losses: Losses, to: number | null = last): Outcome {
	const dice = xoroshiro128plus(losses.seed);
	const chance = (share: number) => uniformFloat64(dice) < share;
	const fetch = new Fetch<Span>({ from: 1, to, transfer: 100 }, 0);
	let transfers: Served[] = [];
	const up: Array<{ atMs: number; ask: Ask }> = [];
	let down: Array<{ atMs: number; reply: Reply }> = [];
	const got: Span[] = [];
	let [frames, framesLost, nowMs] = [0, 0, 0];
	const passes = () => {
		const { deafMs } = losses;
		const isDeaf = deafMs !== undefined && nowMs >= deafMs[0] && nowMs < deafMs[1];
		return !isDeaf && !chance(losses.lost);
	};
	const reply = (what: Reply) => {
		if (!passes()) return false;
		const lateMs = chance(losses.swapped ?? 0) ? 1.5 * FRAME_MS : 0;
		down.push({ atMs: nowMs + DELAY_FRAMES * FRAME_MS + lateMs, reply: what });
		return true;
	};
	const serve = () => {
		const served = transfers.find(({ credit, next, to: end }) => credit > 0 && next <= end);
		if (served === undefined) return;
		const { id, next } = served;
		const toSeq = Math.min(served.to, next + RECORDS_A_FRAME - 1);
		frames += 1;
		if (!reply({ transfer: id, batch: { fromSeq: next, toSeq } })) framesLost += 1;
		served.next = toSeq + 1;
		served.credit -= 1;
		const isEnd = served.next > served.to;
		if (isEnd && served.follow) return;
		if (!isEnd && served.credit > 0) return;
		const why = isEnd ? "end" : "credit";
		reply({ pause: { transfer: id, nextSeq: served.next, durableSeq: last, why } });
		if (isEnd) transfers = transfers.filter((one) => one !== served);
	};
	const hear = ({ method, params }: Ask, askedMs: number) => {
		reply({ answers: params.transfer, askedMs });
		const known = transfers.find(({ id }) => id === params.transfer);
		if (method === "log.more" && known !== undefined) {
			known.credit = Math.min(64, known.credit + params.frames);
		} else if (method === "log.read") {
			transfers = transfers.filter((one) => one !== known);
			const { transfer: id, from, to: end, frames: credit, follow = false } = params;
			transfers.unshift({ id, next: from, to: Math.min(last, end ?? last), follow, credit });
		}
	};
	for (; fetch.nextSeq <= last && nowMs < 3_600_000; nowMs += FRAME_MS) {
		fetch.learn(last);
		fetch.look(nowMs);
		for (const ask of fetch.takeAsks()) {
			if (passes()) up.push({ atMs: nowMs + DELAY_FRAMES * FRAME_MS, ask });
		}
		while (up[0] !== undefined && up[0].atMs <= nowMs) {
			const [{ ask, atMs }] = up.splice(0, 1) as [(typeof up)[0]];
			hear(ask, atMs - DELAY_FRAMES * FRAME_MS);
		}
		serve();
		const due = down.filter(({ atMs }) => atMs <= nowMs).sort((a, b) => a.atMs - b.atMs);
		down = down.filter(({ atMs }) => atMs > nowMs);
		for (const { reply: what } of due) {
			if ("pause" in what) fetch.pause(what.pause, nowMs);
			else if ("answers" in what) fetch.answered(what.answers, nowMs - what.askedMs, nowMs);
			else fetch.take(what.transfer, what.batch, nowMs);
		}
		got.push(...fetch.takeReady());
	}
	return { got, frames, framesLost, elapsedMs: nowMs, fetch };
}

/** Frames that a line without loss needs. */
export const framesOf = (records: number) => Math.ceil(records / RECORDS_A_FRAME);
/** What those take at the least, ms. */
export const leastMs = (records: number) => framesOf(records) * FRAME_MS;
