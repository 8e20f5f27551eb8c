// The map of pick-up spots: where in each tank the tube reaches the floor, and which of them were
// done, when and in which run. A spot that was done belongs to the map, whether it was drawn or
// not. Pure.

import type { Spot, SpotMap } from "./note-answers.ts";
import type { RigLog } from "./rig-log.ts";

/** Tanks by name, spots as the last map names them, then those that were done beside it. */
export function spotMaps({ notes }: RigLog): SpotMap[] {
	const maps = new Map<string, readonly string[]>();
	const done = new Map<string, Map<string, Omit<Spot, "spot" | "isDone">>>();
	const bought = new Map<string, number>();
	for (const note of notes) {
		if (note.kind === "uplift") bought.set(note.tank, note.atUtcMs);
		if (note.kind === "spot-map") maps.set(note.tank, note.spots);
		if (note.kind !== "spots") continue;
		const own = done.get(note.tank) ?? new Map();
		const { atUtcMs: doneUtcMs, storeId, run } = note;
		for (const spot of note.spots) own.set(spot, { doneUtcMs, storeId, run });
		done.set(note.tank, own);
	}
	const tanks = [...new Set([...maps.keys(), ...done.keys()])].sort();
	return tanks.map((tank) => {
		const own = done.get(tank);
		const names = [...new Set([...(maps.get(tank) ?? []), ...(own?.keys() ?? [])])];
		const since = bought.get(tank) ?? Number.NEGATIVE_INFINITY;
		const spots = names.map((spot): Spot => {
			const last = own?.get(spot) ?? { doneUtcMs: null, storeId: null, run: null };
			return { spot, ...last, isDone: (last.doneUtcMs ?? since) > since };
		});
		return { tank, spots };
	});
}
