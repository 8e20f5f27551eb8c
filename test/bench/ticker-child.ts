// A process whose timer is looked at: the controller with a rig model, its store and its link, or a
// bare timer with the same deadlines and nothing to do. Begins when it is told how long to run, and
// tells by how much each tick was late, ms.

import { join } from "node:path";
import { readInputFile } from "../../firmware/config/input-file.ts";
import { readRig } from "../../firmware/config/rig.ts";
import { listenLocally, serveClients } from "../../firmware/link/local-socket.ts";
import { LinkServer } from "../../firmware/link/server.ts";
import { Store } from "../../firmware/log/store.ts";
import { runController, TICK_MS } from "../../firmware/main.ts";
import { logicHere } from "../../host/cli/logic-here.ts";
import { keepMemorySmall } from "../../host/cli/memory.ts";
import { RealTimeModel } from "../../host/cli/real-time-model.ts";
import { loadPins } from "../../sim/bench/load.ts";
import { SHOWN } from "../stories/shown-rig.ts";

export interface Ticked {
	/** By how much each tick began late, ms. */
	readonly lateMs: readonly number[];
	/** Pulses of the order's run; 0 of a bare timer. */
	readonly pulses: number;
}

const [kind = "", root = "", scratch = ""] = process.argv.slice(2);

/** As the shell reckons: a deadline that was missed is not made up for. */
class Deadlines {
	readonly lateMs: number[] = [];
	private next = 1;

	note(nowMs: number): void {
		this.lateMs.push(nowMs - this.next * TICK_MS);
		this.next = Math.max(this.next, Math.floor(nowMs / TICK_MS)) + 1;
	}

	get nextMs(): number {
		return this.next * TICK_MS;
	}
}

function runBare(ms: number): void {
	const originMs = performance.now();
	const deadlines = new Deadlines();
	const next = () => {
		const nowMs = performance.now() - originMs;
		deadlines.note(nowMs);
		if (nowMs >= ms) tell({ lateMs: deadlines.lateMs, pulses: 0 });
		else setTimeout(next, Math.max(0, originMs + deadlines.nextMs - performance.now()));
	};
	setTimeout(next, TICK_MS);
}

async function control(ms: number): Promise<void> {
	keepMemorySmall();
	const rigFile = join(root, "sim/bench/rigs/teal-willow.rig.yaml");
	const rig = readRig(readInputFile(rigFile), rigFile);
	const pins = loadPins(root);
	const store = await Store.open(join(scratch, "lateness.sqlite"));
	keepMemorySmall();
	const deadlines = new Deadlines();
	let originMs: number | null = null;
	const clock = () => {
		const nowMs = performance.now();
		originMs ??= nowMs;
		return nowMs;
	};
	const model = new RealTimeModel(rig, pins);
	const running = runController({
		...{ rig, pins, store, clock, logic: logicHere(), shown: SHOWN },
		board: {
			// The first thing that a tick does.
			read: (nowMs) => {
				deadlines.note(performance.now() - (originMs ?? 0));
				return model.read(nowMs);
			},
			drive: (outputs) => model.drive(outputs),
		},
	});
	const server = new LinkServer(running);
	const listener = await listenLocally(join(scratch, "lateness"));
	serveClients(listener, server);
	running.everyTick(() => server.everyTick());
	const polish = { tank: rig.tanks[0]?.name ?? "", litres: 1_000, attended: true };
	const order = {
		type: "polish",
		id: "lateness",
		polish: { ...polish, sweepFirst: false },
	} as const;
	// The first readings have to be there, and the probe both ways.
	setTimeout(() => void running.submit(order), ORDERS_MS);
	setTimeout(async () => {
		const { lateMs } = deadlines;
		const pulses = running.status().run?.pulses ?? 0;
		listener.close();
		await running.end("bench");
		tell({ lateMs, pulses });
	}, ms);
}

/** The order is given after so long, ms. */
const ORDERS_MS = 3_000;

function tell(ticked: Ticked): void {
	process.send?.(ticked, () => process.exit(0));
}

process.once("message", (ms: number) => {
	if (kind === "bare") runBare(ms);
	else void control(ms);
});
