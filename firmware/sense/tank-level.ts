// From how high the fuel stands to how much of the tank that is. Senders read height; limits are
// shares of the volume. Pure.

import type { Rig } from "../config/rig.ts";

type Tank = Rig["tanks"][number];

/**
 * Share of the volume, 0 to 1, at a share of the depth. Plane geometry: straight walls, a V up to
 * the top, a lying cylinder by the segment of its circle; a floor's fall is a sender's error.
 */
export function volumeShare(tank: Tank | undefined, depthShare: number): number {
	const share = Math.min(1, Math.max(0, depthShare));
	if (tank?.shape === "wedge") return share * share;
	if (tank?.shape === "horizontal-cylinder") {
		const x = 1 - 2 * share;
		return (Math.acos(x) - x * Math.sqrt(Math.max(0, 1 - x * x))) / Math.PI;
	}
	if (tank?.shape !== "dip-table" || tank.dipTable === undefined) return share;
	const dipMm = share * tank.depthMm;
	let before = { dipMm: 0, litres: 0 };
	for (const point of tank.dipTable) {
		if (point.dipMm >= dipMm && point.dipMm > before.dipMm) {
			const part = (dipMm - before.dipMm) / (point.dipMm - before.dipMm);
			return (before.litres + part * (point.litres - before.litres)) / tank.volumeLitres;
		}
		before = point;
	}
	return 1;
}
