// Which hazards the rig's sensors cover, from its file by the firmware's own table, and whether it
// may be left alone. A mark and a word say it, and colour nothing.

import type { Rig } from "../../../firmware/config/rig.ts";
import { type Coverage, coverageOf } from "../../../firmware/cycle/coverage.ts";
import { Told } from "../kit/notice.tsx";
import { words } from "../words/words.ts";

export function CoverageList({ rig }: { readonly rig: Rig }) {
	const { coverage } = words().live;
	const rows = coverageOf(rig);
	const mayLeave = rows.every(({ covered, unattended }) => covered || !unattended);
	return (
		<>
			<p>
				<strong>{mayLeave ? coverage.mayLeave : coverage.mayNotLeave}</strong>
			</p>
			<ul class="coverage">
				{rows.map((row) => (
					<Hazard key={row.hazard} row={row} />
				))}
			</ul>
			<p class="hint">{coverage.limits}</p>
		</>
	);
}

/** As `9 of 11 covered`. */
export function coverageCount(rig: Rig): string {
	const rows = coverageOf(rig);
	const covered = rows.filter((row) => row.covered).length;
	return words().live.coverage.count(String(covered), String(rows.length));
}

function Hazard({ row: { hazard, covered, missing, unattended } }: { readonly row: Coverage }) {
	const { live, rig } = words();
	const { coverage } = live;
	return (
		<li class={covered ? "is-covered" : "is-open"}>
			<span class="cover-mark" aria-hidden="true">
				{covered ? "✓" : "✗"}
			</span>
			<div>
				<p>
					<strong>{covered ? coverage.covered : coverage.notCovered}</strong>{" "}
					{rig.hazards[hazard] ?? rig.noWord}
				</p>
				{missing.map((what) => (
					<p key={what} class="hint">
						{rig.sensors[what] === undefined ? (
							<>
								{coverage.toFit("")} <Told>{what}</Told>
							</>
						) : (
							coverage.toFit(rig.sensors[what])
						)}
					</p>
				))}
				{!covered && unattended && <p class="hint">{coverage.needed}</p>}
			</div>
		</li>
	);
}
