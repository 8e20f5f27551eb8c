// `lees watch`: a live view of a controller on the terminal, or a line at each change where there
// is no terminal to draw on. It looks and never acts: nothing that it sends moves a pump.

import type { Batch } from "../../firmware/link/batch.ts";
import type { Status } from "../../firmware/link/protocol.ts";
import type { LogRecord } from "../../firmware/log/record.ts";
import { readRecord } from "../../firmware/log/record-text.ts";
import { LogFetch } from "../link/fetching.ts";
import { systemPorts } from "../link/reconnect.ts";
import { SteadyLink } from "../link/steady-link.ts";
import { type Scene, watchLines, watchWords } from "../report/watch-view.ts";
import { EXIT } from "./exit.ts";
import { endSignal } from "./signals.ts";
import { canDraw, Terminal } from "./terminal.ts";

export interface WatchOptions {
	readonly patienceSeconds: number;
}

/** Records before now that are looked through for what happened last: half an hour of samples. */
const LOOK_BACK = 1_800;
/** Records kept, samples but the last not among them. */
const KEPT = 200;
const DRAW_EVERY_MS = 500;

/** @throws InputError when nobody answers, or the line stays away */
export async function watch(port: string, options: WatchOptions): Promise<number> {
	const { signal, end } = endSignal();
	const patience = { ...systemPorts, patienceMs: options.patienceSeconds * 1000, signal };
	const link = await SteadyLink.open(port, patience);
	const status = await link.client.call("status", {}).catch(async (error) => {
		await link.close();
		throw error;
	});
	const scene = new LiveScene(port, link, status);
	const show = canDraw() ? new Drawing(scene, end) : new Lines(scene);
	try {
		while (!signal.aborted) {
			await scene.follow(link, signal);
			if (signal.aborted) break;
			scene.lose();
			show.update();
			if (!(await link.again())) break;
			scene.find(link, await link.client.call("status", {}).catch(() => scene.now.status));
		}
	} finally {
		show.close();
		await link.close();
	}
	return EXIT.good;
}

/** What is known of the controller, kept up to date. */
class LiveScene {
	now: Scene;
	/** Called after each change. */
	onChange: () => void = () => {};
	private readonly fetch: LogFetch;

	constructor(port: string, { hello }: SteadyLink, status: Status) {
		const { rig, boot } = hello;
		const statusAtMs = performance.now();
		this.now = { port, rig, boot, lostAtMs: null, status, statusAtMs, records: [] };
		this.fetch = new LogFetch({ from: Math.max(1, status.durableSeq - LOOK_BACK), to: null });
	}

	/** Until the line is lost or the signal comes. */
	async follow({ client }: SteadyLink, signal: AbortSignal): Promise<void> {
		await this.fetch.over(client, {
			onBatches: (batches) => this.take(batches),
			onStatus: (status) => this.change({ status, statusAtMs: performance.now() }),
			signal,
		});
	}

	lose(): void {
		this.change({ lostAtMs: performance.now() });
	}

	/** The line is back; another boot's events are not this one's. */
	find({ hello }: SteadyLink, status: Status): void {
		const { boot } = hello;
		const records = boot === this.now.boot ? this.now.records : [];
		this.change({ boot, records, status, statusAtMs: performance.now(), lostAtMs: null });
	}

	private take(batches: readonly Batch[]): void {
		const fresh = batches.flatMap(({ items }) =>
			items.flatMap((item) => {
				// Of samples only the last is shown.
				const texts = item.type === "text" ? [item.text] : [item.run.text(item.run.length - 1)];
				return texts.flatMap((text) => readRecord(text) ?? []);
			}),
		);
		const { boot, records } = this.now;
		const all = [...records, ...fresh].filter((record) => record.boot === boot);
		const lastSample = all.findLast(({ kind }) => kind === "sample");
		const isShown = (record: LogRecord) => record.kind !== "sample" || record === lastSample;
		const shown = all.filter(isShown);
		// The boot's own record says that nothing came before.
		this.change({ records: shown.slice(-KEPT) });
	}

	private change(what: Partial<Scene>): void {
		this.now = { ...this.now, ...what };
		this.onChange();
	}
}

/** On a terminal. */
class Drawing {
	private readonly scene: LiveScene;
	private readonly terminal: Terminal;
	private readonly timer: NodeJS.Timeout;

	constructor(scene: LiveScene, onQuit: () => void) {
		this.scene = scene;
		this.terminal = new Terminal(onQuit, () => this.update());
		// Ages grow although nothing comes.
		this.timer = setInterval(() => this.update(), DRAW_EVERY_MS);
		scene.onChange = () => this.update();
		this.update();
	}

	update(): void {
		const screen = { ...this.terminal.size, colour: this.terminal.hasColour };
		this.terminal.draw(watchLines(this.scene.now, performance.now(), screen));
	}

	close(): void {
		clearInterval(this.timer);
		this.terminal.close();
	}
}

/** For a pipe or a file: a line when something else is to be said than before. */
class Lines {
	private readonly scene: LiveScene;
	private said = "";

	constructor(scene: LiveScene) {
		this.scene = scene;
		scene.onChange = () => this.update();
		this.update();
	}

	update(): void {
		const words = watchWords(this.scene.now);
		if (words === this.said) return;
		this.said = words;
		process.stdout.write(`${new Date().toISOString()} ${this.scene.now.rig}: ${words}\n`);
	}

	close(): void {
		this.scene.onChange = () => {};
	}
}
