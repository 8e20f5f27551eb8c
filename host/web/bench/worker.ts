// The bench's own thread: time goes on here, in slices short enough that whatever is done to the
// bench comes in between, and a frame goes to the page when it has taken in the last one.

import { world } from "virtual:bench-world";
import {
	polishSchema,
	sweepSchema,
	transferSchema,
} from "../../../firmware/cycle/order-schemas.ts";
import { sceneOf, truthOf, worldOf } from "./bench-frame.ts";
import { BenchEngine } from "./engine.ts";
import { Pace } from "./pace.ts";
import type { BenchDeed, FromWorker, ToWorker } from "./world.ts";

/** A slice of work, ms; clicks wait no longer. */
const SLICE_MS = 20;
/** The clock is asked once in so many ticks. */
const TICKS_A_LOOK = 50;
/** At most ten frames a second, curves at most twice; one a second though nothing goes on. */
const FRAME_MS = 100;
const CURVES_MS = 500;
const STILL_MS = 1_000;

const pace = new Pace();
const [first] = world.starts;
let engine = begun(first?.name ?? "");
let isSeen = true;
let framedMs = 0;
let curvesMs = 0;
let isNews = true;
let timer = 0;

/** Goes on at once, and lets messages in before: a timer would wait for some milliseconds. */
const channel = new MessageChannel();
channel.port1.onmessage = () => go();

const tell = (message: FromWorker) => postMessage(message);

function begun(name: string): BenchEngine {
	const start = world.starts.find((one) => one.name === name) ?? first;
	if (start === undefined) throw new Error("no start was built in");
	return new BenchEngine(world, start);
}

function go(): void {
	clearTimeout(timer);
	const fromMs = performance.now();
	let due = pace.due(fromMs);
	let done = 0;
	while (due > 0 && performance.now() - fromMs < SLICE_MS) {
		const now = Math.min(due, TICKS_A_LOOK);
		for (let i = 0; i < now; i += 1) engine.tick();
		due -= now;
		done += now;
	}
	const nowMs = performance.now();
	pace.count(done, nowMs);
	isNews ||= done > 0;
	frame(nowMs);
	if (due > 0) channel.port2.postMessage(null);
	else timer = setTimeout(go, Math.min(FRAME_MS, pace.waitMs(nowMs)));
}

function frame(nowMs: number): void {
	const isDue = isNews ? nowMs - framedMs >= FRAME_MS : nowMs - framedMs >= STILL_MS;
	if (!isSeen || !isDue) return;
	const hasCurves = nowMs - curvesMs >= CURVES_MS;
	isSeen = false;
	isNews = false;
	framedMs = nowMs;
	if (hasCurves) curvesMs = nowMs;
	tell({
		kind: "frame",
		frame: {
			scene: sceneOf(engine, ""),
			truth: truthOf(engine),
			world: worldOf(engine),
			pace: pace.now,
			start: engine.start.name,
			...(hasCurves ? { series: engine.curves.now } : {}),
		},
	});
}

/** Why the link would not take it; nothing where it would. */
function misfitsOf(deed: BenchDeed): string[] {
	if (deed.kind !== "order") return [];
	const { work } = deed;
	const found =
		"polish" in work
			? polishSchema.safeParse(work.polish)
			: "transfer" in work
				? transferSchema.safeParse(work.transfer)
				: sweepSchema.safeParse(work.sweep);
	const issues = found.error?.issues ?? [];
	return issues.map(({ path, message }) => `${path.join(".")}: ${message}`);
}

function act(deed: BenchDeed, id: number): void {
	const reasons = misfitsOf(deed);
	if (reasons.length > 0) {
		tell({ kind: "answer", id, answer: { accepted: false, reasons } });
		return;
	}
	engine.do(deed, (answer) => tell({ kind: "answer", id, answer }));
	// While time stands still a deed takes the few ticks that it needs.
	if (pace.now.isPaused) engine.settle();
}

/** Asked for at once, so that the network may be gone when a file is wanted. */
const writer = import("../../report/scenario-file.ts");

async function save({ id, title, story }: Extract<ToWorker, { kind: "save" }>): Promise<void> {
	try {
		const played = engine.played({ title, story });
		const text = played === null ? null : (await writer).scenarioText(played);
		tell({ kind: "saved", id, text });
	} catch (error) {
		tell({ kind: "lost", id, why: error instanceof Error ? error.message : "" });
	}
}

addEventListener("message", ({ data }: MessageEvent<ToWorker>) => {
	isNews = true;
	switch (data.kind) {
		case "begin":
			engine = begun(data.start);
			curvesMs = 0;
			break;
		case "deed":
			act(data.deed, data.id);
			break;
		case "pace":
			pace.set(data.speed, data.isPaused, performance.now());
			break;
		case "step":
			pace.step(data.ticks);
			break;
		case "save":
			void save(data);
			break;
		case "seen":
			isSeen = true;
			break;
	}
	go();
});

writer.then(
	() => tell({ kind: "whole" }),
	() => {},
);
tell({ kind: "ready", starts: world.starts.map(({ name }) => name), hazards: world.hazards });
go();
