// The record store on a real file: what was written is there after a restart and chained, a restart
// knows its trips, its run and its totals, and the ten minutes before a trip replay exactly.

import { mkdtempSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import Database from "better-sqlite3";
import { describe, expect, it } from "vitest";
import { type ControllerState, createController } from "../../firmware/controller.ts";
import { chained, StoreFile } from "../../firmware/log/database.ts";
import type { LogRecord } from "../../firmware/log/record.ts";
import { readRecord } from "../../firmware/log/record-text.ts";
import { DECISIONS_KEPT, recover } from "../../firmware/log/recovery.ts";
import { RingKeeper } from "../../firmware/log/ring.ts";
import { Store } from "../../firmware/log/store.ts";
import { levels, Tape, type TapeJson } from "../../firmware/log/tape.ts";
import { rigTally } from "../../firmware/totals.ts";
import { findScenario, loadScenario } from "../../sim/bench/load.ts";
import { rigAtStart } from "../../sim/bench/session.ts";
import { ModelBoard } from "../../sim/model-board.ts";
import { exampleRig, pins, polishing, root } from "../stories/world.ts";

const newFile = () => join(mkdtempSync(join(tmpdir(), "lees-store-")), "log.sqlite");

describe("a store", () => {
	it("keeps identity, records and chain over a restart", () => {
		const file = newFile();
		const world = polishing();
		const first = new StoreFile(file);
		first.write(world.records, []);
		const { storeId } = first;
		first.close();
		const again = new StoreFile(file);
		expect(again.storeId).toBe(storeId);
		const stored = again.read(1, 10_000);
		expect(stored.map(({ json }) => readRecord(json))).toEqual(world.records);
		let chain = storeId;
		for (const record of stored) {
			chain = chained(chain, record.json);
			expect(record.chain).toBe(chain);
		}
		again.close();
	});

	it("writes with synchronous=FULL in WAL mode, alone on its file", () => {
		const file = newFile();
		const store = new StoreFile(file);
		expect(() => new StoreFile(file)).toThrow(/locked/);
		store.close();
		const db = new Database(file);
		expect(db.pragma("journal_mode", { simple: true })).toBe("wal");
		db.close();
	});

	it("tells a restart of all trips, and of the newest commands that began nothing", () => {
		const store = new StoreFile(newFile());
		const head = { boot: 1, monoMs: 5 };
		const kind = "order-refused" as const;
		const refused = Array.from({ length: DECISIONS_KEPT + 50 }, (_, i) => ({
			...{ ...head, seq: i + 2, kind },
			...{ id: `${i}`, reasons: [] },
		}));
		store.write([{ ...head, seq: 1, kind: "trip", code: "leak", cause: "wet" }, ...refused], []);
		const history = store.history();
		expect(history[0]).toMatchObject({ seq: 1, kind: "trip" });
		expect(history.slice(1)).toEqual(refused.slice(50));
		store.close();
	});

	it("tells a restart of each step's last proofs, however many there were", () => {
		const store = new StoreFile(newFile());
		const proof = (
			seq: number,
			step: "lamps" | "horn",
			passed: boolean,
			endedBy: string | null,
			counts = endedBy === null,
		) => ({
			...({ seq, boot: 1, monoMs: 5, kind: "proof", id: `${seq}`, step, passed, counts } as const),
			...{ reasons: [], values: { lamps: 2 }, marks: "a", by: "JM", localTime: null, endedBy },
		});
		const many = Array.from({ length: 300 }, (_, i) => proof(i + 1, "lamps", i % 2 === 0, null));
		const others = [proof(301, "horn", true, null), proof(302, "lamps", false, "patience")];
		const late = proof(303, "horn", false, "end-1", true);
		const fill = {
			...({
				seq: 304,
				boot: 1,
				monoMs: 5,
				kind: "fill",
				id: "f",
				pulses: 2_100,
				litres: 5,
			} as const),
			...{ litresUncertainty: 0.01, seconds: 190, localTime: null },
		};
		store.write([...many, ...others, late, fill], []);
		expect(store.history()).toEqual([...many.slice(-2), ...others, late, fill]);
		store.close();
	});

	it("keeps the newest windows whole, and of the oldest what there is room for", () => {
		const store = new StoreFile(newFile(), 240_000);
		const trip = { kind: "trip", code: "leak", cause: "wet" } as const;
		const row = { state: "{}", inputs: Buffer.alloc(1) };
		for (const boot of [1, 2, 3]) {
			const rows = Array.from({ length: 4 }, (_, i) => ({
				...{ ...row, boot },
				...{ fromMs: 1_000 * i, toMs: 1_000 * i + 900 },
			}));
			store.write([{ seq: boot, boot, monoMs: 5_000, ...trip }], rows);
		}
		expect([1, 2, 3].map((seq) => store.pinned(seq).map(({ fromMs }) => fromMs))).toEqual([
			[2_000, 3_000],
			[0, 1_000, 2_000, 3_000],
			[0, 1_000, 2_000, 3_000],
		]);
		store.close();
	});

	it("gets the ring's index where an earlier file has none", () => {
		const file = newFile();
		new StoreFile(file).close();
		const earlier = new Database(file);
		earlier.exec("DROP INDEX ring_pins");
		earlier.close();
		new StoreFile(file).close();
		const db = new Database(file);
		const select = "EXPLAIN QUERY PLAN SELECT id FROM ring WHERE pinned_by IS NULL AND boot < 2";
		expect(JSON.stringify(db.prepare(select).all())).toContain("ring_pins");
		db.close();
	});

	it("a batch that cannot be written leaves nothing of itself", () => {
		const store = new StoreFile(newFile());
		const [first, second] = polishing().records;
		if (first === undefined || second === undefined) throw new Error("no records");
		store.write([first], []);
		expect(() => store.write([second, first], [])).toThrow(/UNIQUE/);
		expect(store.read(1, 10).length).toBe(1);
		store.write([second], []);
		expect(store.read(1, 10).length).toBe(2);
		store.close();
	});
});

describe("a store's thread that dies", () => {
	it("refuses what was asked of it, counts as failed, and lets the end come", async () => {
		const worker = join(mkdtempSync(join(tmpdir(), "lees-worker-")), "worker.mjs");
		writeFileSync(
			worker,
			`import { parentPort } from "node:worker_threads";
			const last = { seq: 0, boot: 0 };
			parentPort.postMessage({ type: "open", storeId: "s", history: [], last, lost: null });
			parentPort.on("message", () => { throw new Error("disk I/O error"); });`,
		);
		const store = await Store.open(newFile(), { worker: pathToFileURL(worker) });
		await expect(store.read(1, 1)).rejects.toThrow();
		expect(store.state().failed).toBe(true);
		await expect(store.read(1, 1)).rejects.toThrow();
		await store.close();
	});
});

describe("a restart", () => {
	const rig = exampleRig();
	const restarted = (records: readonly LogRecord[]) => {
		const recovery = recover(records, rig);
		return { recovery, ...createController(rig, pins).boot(0, recovery) };
	};

	it("in mid-run comes up tripped, pump off, with the run counted to its last sample", () => {
		const world = polishing();
		world.pass(20);
		const { recovery, state, outputs, records } = restarted(world.records);
		expect(outputs["pump-demand"]).toBe(false);
		expect(state.cycle.context.trips.map(({ code }) => code)).toEqual(["interrupted"]);
		expect(records.map(({ kind }) => kind)).toEqual(["boot", "interrupted", "trip", "state"]);
		expect(records[0]?.seq).toBe(world.records.length + 1);
		expect(records[0]?.boot).toBe(2);
		const lost = rigTally(world.state.totals).motorMs - rigTally(state.totals).motorMs;
		expect(lost).toBeGreaterThanOrEqual(0);
		expect(lost).toBeLessThan(1_500);
		expect(recovery.interrupted?.tank).toBe("port");
	});

	it("counts an interrupted run once, however often it restarts", () => {
		const world = polishing();
		world.pass(20);
		const once = restarted(world.records);
		const twice = restarted([...world.records, ...once.records]);
		expect(rigTally(twice.state.totals)).toEqual(rigTally(once.state.totals));
		expect(twice.records.map(({ kind }) => kind)).not.toContain("interrupted");
		expect(twice.state.cycle.context.trips.map(({ code }) => code)).toEqual(["interrupted"]);
	});

	it("keeps a trip that nobody has acknowledged, and forgets one that somebody has", () => {
		const world = polishing();
		world.facts.flowLph = 0;
		world.pass(10);
		world.stop();
		world.pass(1);
		const { state } = restarted(world.records);
		expect(state.cycle.context.trips.map(({ code }) => code)).toEqual(["dry-run"]);
		world.pressAcknowledge();
		expect(restarted(world.records).state.cycle.value).toBe("idle");
	});

	it("remembers that the drain was seen, and that water was there lately", () => {
		const world = polishing();
		world.facts.probeOhm = 20_000;
		world.pass(2);
		world.facts.probeOhm = Number.POSITIVE_INFINITY;
		world.pass(5);
		const open = recover(world.records, rig).openTrips;
		expect(open).toMatchObject([{ code: "water-in-bowl", drainSeen: true }]);
		world.pressAcknowledge();
		const { state } = restarted(world.records);
		expect(state.cycle.context.lastWaterMs).toBe(0);
	});

	it("after an interrupted run takes the pump for run to its rating, and dry", () => {
		const world = polishing();
		world.pass(20);
		const { state } = restarted(world.records);
		expect(state.cycle.context.dutyMs).toBe(rig.pump.runMinutesMax * 60_000);
		expect(state.cycle.context.dryRestUntilMs).toBe(rig.pump.dryRunSecondsMax * 1000);
	});

	it("of an empty log is the first boot, idle", () => {
		const { state, records } = restarted([]);
		expect(state.cycle.value).toBe("idle");
		expect(records).toMatchObject([{ kind: "boot", seq: 1, boot: 1 }]);
	});

	it("on a new store's file knows of no water: the first that comes is no second one", () => {
		const store = new StoreFile(newFile());
		expect(recover([], rig, { lost: null, last: store.last() }).waterLately).toBe(false);
		store.close();
	});
});

describe("the ring of tick inputs", () => {
	it("kept with a trip replays the ten minutes before it, decision by decision", () => {
		const { scenario, rig } = loadScenario(findScenario(root, "tube-out-of-the-fuel"));
		const model = rigAtStart(scenario, rig, scenario.seed);
		const board = new ModelBoard(model, pins, scenario.seed);
		const controller = createController(rig, pins);
		const store = new StoreFile(newFile());
		const ring = new RingKeeper(pins, 1);
		let { state } = controller.boot(0);
		const polish = scenario.orders[0]?.polish;
		if (polish === undefined) throw new Error("no order");
		let trip: LogRecord | undefined;
		const packed = (batch: ReturnType<RingKeeper["keep"]>[number]) => ({
			...batch,
			state: JSON.stringify(batch.state),
			inputs: Buffer.from(JSON.stringify(batch.inputs)),
		});
		for (let tick = 1; trip === undefined && tick < 20_000; tick += 1) {
			// Held for three seconds and a half: that arms the plan.
			model.buttonPressed = tick >= 5 && tick < 40;
			if (tick === 9_000) model.breaks("tube-lifted");
			const commands = tick === 50 ? [{ type: "polish", id: "r", polish } as const] : [];
			const log = { durableSeq: state.nextSeq - 1, ageMs: 0, failed: false };
			const readings = board.read(tick * 100);
			const inputs = { nowMs: tick * 100, readings, commands, commissioned: true, log };
			const result = controller.tick(state, inputs);
			store.write(
				result.records.filter(({ kind }) => kind !== "sample"),
				ring.keep(state, inputs, result).map(packed),
			);
			state = result.state;
			board.drive(result.outputs);
			model.step(0.1);
			trip = result.records.find(({ kind }) => kind === "trip");
		}
		if (trip === undefined) throw new Error("it did not trip");
		const rows = store.pinned(trip.seq);
		store.close();
		expect((rows.at(-1)?.toMs ?? 0) - (rows[0]?.fromMs ?? 0)).toBeGreaterThan(590_000);
		let ticks = 0;
		let tripped = 0;
		for (const { state: at, inputs } of rows) {
			let now = JSON.parse(at) as ControllerState;
			const tape = Tape.fromJson(JSON.parse(Buffer.from(inputs).toString()) as TapeJson);
			for (let i = 0; i < tape.length; i += 1, ticks += 1) {
				const result = controller.tick(now, tape.inputsAt(i));
				expect(levels(result.outputs)).toBe(tape.levelsAt(i));
				tripped += result.records.filter(({ kind }) => kind === "trip").length;
				now = result.state;
			}
		}
		expect(ticks).toBeGreaterThan(5_900);
		expect(tripped).toBe(1);
	});
});
