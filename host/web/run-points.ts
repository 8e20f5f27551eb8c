// A run of any length in some hundreds of points: means of stretches of equal length, which grow
// twice as long when there are too many. Pure.

import type { Point } from "./scene.ts";

const POINTS_MAX = 600;
const STRETCH_MS = 1_000;

const QUANTITIES = ["flowLph", "vacuumKpa", "motorAmps", "supplyVolts"] as const;
type Quantity = (typeof QUANTITIES)[number];

interface Sum {
	sum: number;
	count: number;
}

/** What has come in one stretch. */
type Stretch = Record<Quantity, Sum>;

export class RunPoints {
	readonly fromMs: number;
	private readonly isBeginKnown: boolean;
	private toMs = Number.POSITIVE_INFINITY;
	private stretchMs = STRETCH_MS;
	private stretches = new Map<number, Stretch>();

	/**
	 * @param fromMs since boot, where the run begins
	 * @param isBeginKnown false: it was at work by then, and what comes from before is of it too
	 */
	constructor(fromMs: number, isBeginKnown: boolean) {
		this.fromMs = fromMs;
		this.isBeginKnown = isBeginKnown;
	}

	/** Whether something of that time may be of it. */
	mayHold(monoMs: number): boolean {
		return monoMs <= this.toMs && (monoMs >= this.fromMs || !this.isBeginKnown);
	}

	end(toMs: number): void {
		this.toMs = toMs;
	}

	/** What is not of the run is left out. */
	take(point: Point): void {
		if (!this.mayHold(point.monoMs)) return;
		const at = Math.floor((point.monoMs - this.fromMs) / this.stretchMs);
		const stretch = this.stretches.get(at) ?? this.begin(at);
		for (const quantity of QUANTITIES) {
			const value = point[quantity];
			if (value === null) continue;
			stretch[quantity].sum += value;
			stretch[quantity].count += 1;
		}
		if (this.stretches.size > POINTS_MAX) this.lengthen();
	}

	/** First to last, each at the middle of its stretch. */
	get points(): Point[] {
		const { fromMs, stretchMs } = this;
		return [...this.stretches]
			.sort(([a], [b]) => a - b)
			.map(([at, { flowLph, vacuumKpa, motorAmps, supplyVolts }]) => ({
				monoMs: Math.round(fromMs + (at + 0.5) * stretchMs),
				flowLph: mean(flowLph, 1),
				vacuumKpa: mean(vacuumKpa, 2),
				motorAmps: mean(motorAmps, 2),
				supplyVolts: mean(supplyVolts, 2),
			}));
	}

	private begin(at: number): Stretch {
		const none = (): Sum => ({ sum: 0, count: 0 });
		const stretch = {
			flowLph: none(),
			vacuumKpa: none(),
			motorAmps: none(),
			supplyVolts: none(),
		};
		this.stretches.set(at, stretch);
		return stretch;
	}

	private lengthen(): void {
		const before = this.stretches;
		this.stretches = new Map();
		this.stretchMs *= 2;
		for (const [at, stretch] of before) {
			const half = Math.floor(at / 2);
			const into = this.stretches.get(half) ?? this.begin(half);
			for (const quantity of QUANTITIES) {
				into[quantity].sum += stretch[quantity].sum;
				into[quantity].count += stretch[quantity].count;
			}
		}
	}
}

const mean = ({ sum, count }: Sum, digits: number): number | null =>
	count === 0 ? null : Number((sum / count).toFixed(digits));
