// The page's end of the bench's thread: frames come in, deeds and questions go out, each question
// with its answer. The browser's own Worker.

import type { Answer, Deeds, Series } from "../scene.ts";
import { words } from "../words/words.ts";
import type { BenchDeed, Frame, FromWorker, HazardRow, PaceNow, Speed, ToWorker } from "./world.ts";

export interface Told {
	readonly starts: readonly string[];
	readonly hazards: readonly HazardRow[];
	readonly frame: Frame | null;
	readonly series: Series;
	/** Why the thread has ended; null while it goes on. */
	readonly ended: string | null;
	/** All is loaded that will ever be asked for. */
	readonly isWhole: boolean;
}

interface Open {
	readonly resolve: (answer: unknown) => void;
	readonly reject: (error: Error) => void;
}

export const NOTHING_TOLD: Told = {
	starts: [],
	hazards: [],
	frame: null,
	series: { recent: [], run: [] },
	ended: null,
	isWhole: false,
};

export class BenchClient {
	private readonly worker: Worker;
	private readonly onTold: (told: Told) => void;
	private told = NOTHING_TOLD;
	private asked = 0;
	private readonly open = new Map<number, Open>();

	constructor(onTold: (told: Told) => void) {
		this.onTold = onTold;
		this.worker = new Worker(new URL("./worker.ts", import.meta.url), { type: "module" });
		this.worker.onmessage = ({ data }: MessageEvent<FromWorker>) => this.take(data);
		this.worker.onerror = ({ message }) => this.tell({ ended: message });
	}

	begin(start: string): void {
		this.send({ kind: "begin", start });
	}

	pace(change: Partial<Pick<PaceNow, "speed" | "isPaused">>): void {
		const now = this.told.frame?.pace ?? { speed: 1 as Speed, isPaused: true };
		const { speed, isPaused } = { ...now, ...change };
		this.send({ kind: "pace", speed, isPaused });
	}

	step(ticks: number): void {
		this.send({ kind: "step", ticks });
	}

	/** Does it; nobody waits for an answer. */
	do(deed: BenchDeed): void {
		this.send({ kind: "deed", deed, id: 0 });
	}

	/** The session so far as a scenario's file; null where there is none. */
	async save(title: string, story: string): Promise<string | null> {
		const text = await this.ask((id) => ({ kind: "save", id, title, story }));
		return typeof text === "string" ? text : null;
	}

	/** What the live view's buttons do. */
	get deeds(): Deeds {
		return {
			stop: () => this.question({ kind: "crew", act: { does: "stop-by-link" } }),
			order: (work) => this.question({ kind: "order", work }),
			acknowledge: () => this.question({ kind: "crew", act: { does: "acknowledge-by-link" } }),
			showCode: null,
			pair: null,
		};
	}

	private async question(deed: BenchDeed): Promise<Answer> {
		const answer = await this.ask((id) => ({ kind: "deed", deed, id }));
		if (answer === null) throw new Error(words().bench.noAnswer);
		return answer as Answer;
	}

	private ask(message: (id: number) => ToWorker): Promise<unknown> {
		this.asked += 1;
		const id = this.asked;
		this.send(message(id));
		return new Promise((resolve, reject) => this.open.set(id, { resolve, reject }));
	}

	private take(message: FromWorker): void {
		if (message.kind === "ready") {
			this.tell({ starts: message.starts, hazards: message.hazards });
		} else if (message.kind === "frame") {
			const { frame } = message;
			const series = frame.series ?? this.told.series;
			this.tell({ frame, series });
			// The next one may come when this one has been drawn.
			requestAnimationFrame(() => this.send({ kind: "seen" }));
		} else if (message.kind === "whole") {
			this.tell({ isWhole: true });
		} else {
			const open = this.open.get(message.id);
			this.open.delete(message.id);
			if (message.kind === "lost") open?.reject(new Error(message.why));
			else open?.resolve(message.kind === "saved" ? message.text : message.answer);
		}
	}

	private tell(change: Partial<Told>): void {
		this.told = { ...this.told, ...change };
		this.onTold(this.told);
	}

	private send(message: ToWorker): void {
		this.worker.postMessage(message);
	}
}
