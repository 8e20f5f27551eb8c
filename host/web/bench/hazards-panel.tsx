// The hazards that the rig was analysed for, the one that acts lit up: first in words, then in the
// list by mark, frame and word.

import type { TripCode } from "../../../firmware/cycle/trips.ts";
import { numeral } from "../units.ts";
import { words } from "../words/words.ts";
import type { HazardRow } from "./world.ts";

interface HazardsProps {
	readonly hazards: readonly HazardRow[];
	readonly acting: readonly TripCode[];
	readonly isDead: boolean;
}

/** No trip tells of it: nothing is left that could. */
const DEAD = "computer-dies";

export function HazardsPanel({ hazards, acting, isDead }: HazardsProps) {
	const { bench, rig } = words();
	const said = bench.hazards;
	const nameOf = (hazard: string) => said.names[hazard] ?? rig.noWord;
	const acts = ({ hazard, trips }: HazardRow) =>
		trips.some((code) => acting.includes(code)) || (isDead && hazard === DEAD);
	const lit = hazards.filter(acts).map(({ hazard }) => nameOf(hazard));
	return (
		<>
			<p role="status" class={lit.length > 0 ? "hazard-now" : undefined}>
				{lit.length === 0 ? said.quiet : said.actsNow(lit.join("; "))}
			</p>
			<details class="more" open>
				<summary>{said.all(numeral(hazards.length, 0))}</summary>
				<ul class="hazards">
					{hazards.map((row) => (
						<li key={row.hazard} class={acts(row) ? "hazard is-acting" : "hazard"}>
							<span class="hazard-mark" aria-hidden="true">
								{acts(row) ? "▲" : "·"}
							</span>
							<span>
								{acts(row) && <strong>{said.acts} </strong>}
								{nameOf(row.hazard)}
								{row.trips.length === 0 && <span class="aside"> ({said.noTrip})</span>}
							</span>
						</li>
					))}
				</ul>
			</details>
		</>
	);
}
