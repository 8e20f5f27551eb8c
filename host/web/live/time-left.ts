// How long the run at work may still take, and what that is reckoned by. Rests that the pump's
// rating asks for are counted in; what nobody can foresee is not. Pure.

import type { Rig } from "../../../firmware/config/rig.ts";
import type { Senses, Status } from "../../../firmware/link/protocol.ts";
import type { Point } from "../scene.ts";

export interface TimeLeft {
	readonly leftMs: number;
	/** By which flow; `hours` needs none. */
	readonly basis: "recent" | "run" | "hours";
	readonly flowLph: number | null;
	readonly rests: number;
}

/** Flow of the last so long is the mean that counts, ms. */
const RECENT_MS = 300_000;
/** Points with fuel that such a mean needs, one a second. */
const POINTS_MIN = 10;
/** Motor time from which the run's own mean counts, ms. */
const RUN_MS_MIN = 60_000;

interface Known {
	readonly rig: Rig | null;
	readonly status: Status;
	readonly senses: Senses | null;
	readonly recent: readonly Point[];
}

/** @returns null where there is no goal to reckon with, or no flow to reckon by */
export function timeLeft({ rig, status, senses, recent }: Known): TimeLeft | null {
	const { order, run, pulsesPerLitre } = status;
	if (order === null) return null;
	const flow = meanFlow(recent, run, pulsesPerLitre);
	const options: Array<Omit<TimeLeft, "rests">> = [];
	if (order.goalHours !== null) {
		const leftMs = Math.max(0, order.goalHours * 3_600_000 - run.motorMs);
		options.push({ leftMs, basis: "hours", flowLph: null });
	}
	const litres = litresLeft(rig, status, senses);
	if (litres !== null && flow !== null) {
		const leftMs = (Math.max(0, litres) / flow.flowLph) * 3_600_000;
		options.push({ leftMs, ...flow });
	}
	const [first] = options.sort((a, b) => a.leftMs - b.leftMs);
	if (first === undefined) return null;
	const { runMinutesMax, restMinutes } = rig?.pump ?? { runMinutesMax: 1, restMinutes: 0 };
	const rests = restMinutes === 0 ? 0 : Math.floor(first.leftMs / (runMinutesMax * 60_000));
	return { ...first, leftMs: first.leftMs + rests * restMinutes * 60_000, rests };
}

/** Until the first of the goals by litres and by level; null where there is none, or no level. */
function litresLeft(rig: Rig | null, status: Status, senses: Senses | null): number | null {
	const { order, run, pulsesPerLitre } = status;
	if (order === null) return null;
	const left: number[] = [];
	if (order.goalLitres !== null) left.push(order.goalLitres - run.pulses / pulsesPerLitre);
	const tank = rig?.tanks.find(({ name }) => name === (order.toTank ?? order.tank));
	const level = senses?.sensed?.levelTo;
	if (order.goalShare !== null && tank !== undefined && typeof level === "number") {
		left.push((order.goalShare - level) * tank.volumeLitres);
	}
	return left.length === 0 ? null : Math.min(...left);
}

function meanFlow(recent: readonly Point[], run: Status["run"], pulsesPerLitre: number) {
	const last = recent.at(-1)?.monoMs ?? 0;
	const flows = recent
		.filter(({ monoMs }) => last - monoMs <= RECENT_MS)
		.flatMap(({ flowLph }) => (flowLph !== null && flowLph > 0 ? [flowLph] : []));
	if (flows.length >= POINTS_MIN) {
		const flowLph = flows.reduce((sum, flow) => sum + flow, 0) / flows.length;
		return { basis: "recent", flowLph } as const;
	}
	if (run.motorMs < RUN_MS_MIN || run.pulses === 0) return null;
	const flowLph = run.pulses / pulsesPerLitre / (run.motorMs / 3_600_000);
	return { basis: "run", flowLph } as const;
}
