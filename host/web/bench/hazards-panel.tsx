// The hazards that the rig was analysed for, the one that acts lit up: first in words, then in the
// list by mark, frame and word.

import type { TripCode } from "../../../firmware/cycle/trips.ts";
import { words } from "../words/words.ts";
import type { HazardRow } from "./world.ts";

interface HazardsProps {
	readonly hazards: readonly HazardRow[];
	readonly acting: readonly TripCode[];
	readonly isDead: boolean;
}

/** No trip tells of it: nothing is left that could. */
const DEAD = "computer-dies";

const doesAct = ({ hazard, trips }: HazardRow, { acting, isDead }: HazardsProps): boolean =>
	trips.some((code) => acting.includes(code)) || (isDead && hazard === DEAD);

function nameOf({ hazard }: HazardRow): string {
	const { bench, rig } = words();
	return bench.hazards.names[hazard] ?? rig.noWord;
}

/** In one line, to be seen before everything else. */
export function HazardsNow(props: HazardsProps) {
	const said = words().bench.hazards;
	const lit = props.hazards.filter((row) => doesAct(row, props)).map(nameOf);
	return (
		<p role="status" class={lit.length > 0 ? "hazard-now" : "hint"}>
			{lit.length === 0 ? said.quiet : said.actsNow(lit.join("; "))}
		</p>
	);
}

export function HazardsList(props: HazardsProps) {
	const said = words().bench.hazards;
	return (
		<ul class="hazards">
			{props.hazards.map((row) => {
				const acts = doesAct(row, props);
				return (
					<li key={row.hazard} class={acts ? "hazard is-acting" : "hazard"}>
						<span class="hazard-mark" aria-hidden="true">
							{acts ? "▲" : "·"}
						</span>
						<span>
							{acts && <strong>{said.acts} </strong>}
							{nameOf(row)}
							{row.trips.length === 0 && <span class="aside"> ({said.noTrip})</span>}
						</span>
					</li>
				);
			})}
		</ul>
	);
}
