// The laptop's archive against its goals: samples imported a second, beside bare better-sqlite3
// that inserts the same texts as rows in the same run; and a month of 1 Hz samples as hours.

import { join } from "node:path";
import Database from "better-sqlite3";
import { chained } from "../../firmware/log/chain.ts";
import { SampleRun } from "../../firmware/log/sample-columns.ts";
import { Archive } from "../../host/archive/archive.ts";
import { dateBoots } from "../../host/archive/dating.ts";
import { hourly, kFactorsOf } from "../../host/archive/hours.ts";
import type { Arrived } from "../../host/archive/record-import.ts";
import { type Figure, median } from "./table.ts";

const IMPORT_GOAL = 200_000;
const QUERY_GOAL_MS = 100;
const ROUNDS = 7;
/** Samples of a round; a frame of the link holds some 60 of them, a window 64 frames. */
const SAMPLES = 100_000;
const FRAME = 60;
const WINDOW = 64 * FRAME;
const MONTH = 30 * 86_400;
const STORE = "bench-invented";

/** A sample's text, from a formula: what a pump that hums along would say. Invented. */
function sampleText(seq: number): string {
	const wave = Math.round(40 * Math.sin(seq / 50));
	const [flow, vacuum] = [(900 + wave) / 10, (1_400 - wave) / 100];
	const [volts, amps, celsius] = [(1_260 + (seq % 3)) / 100, (170 + (wave % 7)) / 100, 15.1];
	return (
		`{"seq":${seq},"boot":1,"monoMs":${seq * 1_000},"v":2,"kind":"sample","flowLph":${flow},` +
		`"vacuumKpa":${vacuum},"supplyVolts":${volts},"motorAmps":${amps},"fuelC":${celsius},` +
		`"run":{"motorMs":${seq * 1_000},"pulses":${seq * 10 + (wave % 5) + 5}}}`
	);
}

interface Frame {
	readonly fromSeq: number;
	readonly bytes: Uint8Array;
	readonly chain: string;
}

/** Frames with samples `from` to `to`, packed as the link packs them. */
function framesOf(from: number, to: number, chainBefore: string, size = FRAME): Frame[] {
	let chain = chainBefore;
	const frames: Frame[] = [];
	for (let fromSeq = from; fromSeq <= to; fromSeq += size) {
		const run = new SampleRun(fromSeq, 1);
		for (let seq = fromSeq; seq < fromSeq + size && seq <= to; seq += 1) {
			const text = sampleText(seq);
			if (!run.add(text)) throw new Error(`the sample ${text} does not pack`);
			chain = chained(chain, text);
		}
		frames.push({ fromSeq, bytes: run.pack(), chain });
	}
	return frames;
}

const arrived = ({ fromSeq, bytes, chain }: Frame): Arrived => ({
	items: [SampleRun.unpack(bytes, fromSeq)],
	chain,
});

const secondsSince = (from: bigint) => Number(process.hrtime.bigint() - from) / 1e9;

/** By the clock, and of the processor: what else the machine does stands in the first alone. */
interface Time {
	readonly seconds: number;
	readonly processorSeconds: number;
}

function timed(work: () => void): Time {
	const cpu = process.cpuUsage();
	const from = process.hrtime.bigint();
	work();
	const seconds = secondsSince(from);
	const { user, system } = process.cpuUsage(cpu);
	return { seconds, processorSeconds: (user + system) / 1e6 };
}

/** Unpacked, chained, packed again and durable window by window. */
function timeImport(file: string, frames: readonly Frame[]): Time {
	const archive = new Archive(file, { create: true });
	const step = WINDOW / FRAME;
	const time = timed(() => {
		for (let i = 0; i < frames.length; i += step) {
			archive.add(STORE, ...frames.slice(i, i + step).map(arrived));
		}
	});
	archive.close();
	return time;
}

/** The same texts as rows, nothing checked, durable window by window. */
function timeBare(file: string, texts: readonly string[]): Time {
	const db = new Database(file);
	db.pragma("journal_mode = WAL");
	db.pragma("synchronous = FULL");
	db.exec("CREATE TABLE records (seq INTEGER PRIMARY KEY, body TEXT NOT NULL) STRICT");
	const insert = db.prepare("INSERT INTO records VALUES (?, ?)");
	const write = db.transaction((at: number) => {
		const end = Math.min(at + WINDOW, texts.length);
		for (let i = at; i < end; i += 1) insert.run(i + 1, texts[i]);
	});
	const time = timed(() => {
		for (let at = 0; at < texts.length; at += WINDOW) write(at);
	});
	db.close();
	return time;
}

function timeQueries(file: string): { ms: number[]; hours: number } {
	const archive = new Archive(file, { create: true });
	let chain = STORE;
	for (let from = 1; from <= MONTH; from += 90_000) {
		const frames = framesOf(from, Math.min(from + 89_999, MONTH), chain, 900);
		chain = frames.at(-1)?.chain ?? chain;
		archive.add(STORE, ...frames.map(arrived));
	}
	const beganMs = Date.UTC(2026, 10, 1);
	archive.sight(STORE, { boot: 1, monoMs: 0, utcMs: beganMs, uncertaintyMs: 2_000 });
	archive.close();
	const ms: number[] = [];
	let hours = 0;
	for (let round = 0; round < ROUNDS; round += 1) {
		const again = new Archive(file, { create: false });
		const from = process.hrtime.bigint();
		const dating = dateBoots(again.sightings(STORE), again.boots(STORE));
		const k = kFactorsOf(again.history(STORE));
		const rows = hourly(again.bucketRows(STORE), dating, k, beganMs, beganMs + MONTH * 1_000);
		ms.push(1_000 * secondsSince(from));
		hours = rows.length;
		again.close();
	}
	return { ms, hours };
}

/** @param scratch a folder on the disk whose syncs count */
export function timeArchive(scratch: string): { figures: Figure[]; rows: string[][] } {
	const frames = framesOf(1, SAMPLES, STORE);
	const texts = Array.from({ length: SAMPLES }, (_, i) => sampleText(i + 1));
	const ours: Time[] = [];
	const bare: Time[] = [];
	for (let round = 0; round < ROUNDS; round += 1) {
		ours.push(timeImport(join(scratch, `archive-${round}.sqlite`), frames));
		bare.push(timeBare(join(scratch, `bare-${round}.sqlite`), texts));
	}
	const rate = SAMPLES / median(ours.map(({ seconds }) => seconds));
	const bareRate = SAMPLES / median(bare.map(({ seconds }) => seconds));
	const { ms, hours } = timeQueries(join(scratch, "month.sqlite"));
	const row = (name: string, times: readonly Time[]) => {
		const wall = times.map(({ seconds }) => seconds);
		const processor = median(times.map(({ processorSeconds }) => processorSeconds));
		const rates = [median(wall), Math.min(...wall), Math.max(...wall)];
		return [
			name,
			...rates.map((s) => Math.round(SAMPLES / s).toLocaleString("en")),
			((1e6 * processor) / SAMPLES).toFixed(2),
		];
	};
	const rows = [
		["import", "samples/s, median", "most", "least", "processor, µs each"],
		row("archive, from packed frames", ours),
		row("bare better-sqlite3, texts as rows", bare),
	];
	const bytes = frames.reduce((sum, frame) => sum + frame.bytes.length, 0) / SAMPLES;
	const pace = Math.round(rate).toLocaleString("en");
	const shown = `${pace} samples/s, ${bytes.toFixed(1)} bytes each`;
	const query = median(ms);
	return {
		rows,
		figures: [
			{
				what: "archive import",
				shown,
				goal: `at least ${IMPORT_GOAL.toLocaleString("en")}/s`,
				met: rate >= IMPORT_GOAL,
				peer: `${Math.round(bareRate).toLocaleString("en")}/s of bare better-sqlite3`,
				ratio: rate / bareRate,
			},
			{
				what: "a month of 1 Hz samples as hours",
				shown: `${query.toFixed(0)} ms for ${hours} hours`,
				goal: `under ${QUERY_GOAL_MS} ms`,
				met: query < QUERY_GOAL_MS,
			},
		],
	};
}
