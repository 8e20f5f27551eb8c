// What the server tells of the controller as it goes on: server-sent events, asked for again when
// they stay away, and never taken for new when they are old. The browser's own EventSource.

import type { Point, SceneNow, Series } from "../scene.ts";

export interface Heard {
	readonly scene: SceneNow | null;
	readonly series: Series;
	/** Nothing comes from the server itself. */
	readonly isServerLost: boolean;
}

/** A scene comes at least once a second; after so long without one the line is dead, ms. */
const SILENT_MS = 5_000;
const AGAIN_MS_MIN = 1_000;
const AGAIN_MS_MAX = 8_000;
/** Points of ten minutes, one a second. */
const RECENT_MAX = 600;

export class Feed {
	private readonly onHeard: (heard: Heard) => void;
	private source: EventSource | null = null;
	private watchdog = 0;
	private againMs = AGAIN_MS_MIN;
	private heard: Heard = { scene: null, series: { recent: [], run: [] }, isServerLost: false };

	constructor(onHeard: (heard: Heard) => void) {
		this.onHeard = onHeard;
		this.open();
	}

	/** Asks anew at once: the session is told of where a line begins. */
	restart(): void {
		this.againMs = AGAIN_MS_MIN;
		this.open();
	}

	close(): void {
		clearTimeout(this.watchdog);
		this.source?.close();
		this.source = null;
	}

	private open(): void {
		this.close();
		const source = new EventSource("/api/feed");
		this.source = source;
		const on = (name: string, take: (value: unknown) => void) =>
			source.addEventListener(name, ({ data }: MessageEvent<string>) => take(JSON.parse(data)));
		on("scene", (scene) => this.take({ scene: scene as SceneNow }));
		on("series", (series) => this.take({ series: series as Series }));
		on("point", (point) => this.add(point as Point));
		source.onerror = () => this.lose();
		this.wait(SILENT_MS);
	}

	private take(change: Partial<Heard>): void {
		this.heard = { ...this.heard, ...change, isServerLost: false };
		this.againMs = AGAIN_MS_MIN;
		this.wait(SILENT_MS);
		this.onHeard(this.heard);
	}

	private add(point: Point): void {
		const { recent, run } = this.heard.series;
		const last = recent.at(-1)?.monoMs ?? Number.NEGATIVE_INFINITY;
		// Another boot begins its time anew.
		const before = point.monoMs > last ? recent.slice(1 - RECENT_MAX) : [];
		this.take({ series: { recent: [...before, point], run } });
	}

	private lose(): void {
		this.close();
		this.heard = { ...this.heard, isServerLost: true };
		this.onHeard(this.heard);
		this.watchdog = setTimeout(() => this.open(), this.againMs);
		this.againMs = Math.min(AGAIN_MS_MAX, 2 * this.againMs);
	}

	private wait(ms: number): void {
		clearTimeout(this.watchdog);
		this.watchdog = setTimeout(() => this.lose(), ms);
	}
}
