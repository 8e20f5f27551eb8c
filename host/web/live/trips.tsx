// The open trips, worst first: what happened, what to do, why it cannot be acknowledged yet, and
// where it can. What may be given from a page is the firmware's own table.

import { type TripCode, trips } from "../../../firmware/cycle/trips.ts";
import { Button } from "../kit/button.tsx";
import { Notice, Told } from "../kit/notice.tsx";
import type { SceneNow } from "../scene.ts";
import { words } from "../words/words.ts";
import { type Asked, Outcome, Reasons } from "./asking.tsx";

export interface TripsProps {
	readonly scene: SceneNow;
	readonly asked: Asked;
	readonly acknowledge: () => void;
}

export function Trips({ scene, asked, acknowledge }: TripsProps) {
	const open = scene.status?.trips ?? [];
	const { live, rig } = words();
	const names = open.map(({ code }) => live.trip.heading((rig.trips[code] ?? rig.otherTrip).name));
	return (
		<div class="trips">
			{/* Read out when a trip comes, and not again when its reasons change. */}
			<p class="unseen" role="alert">
				{names.length > 0 ? names.join(". ") : null}
			</p>
			{open.map(({ code, cause }) => (
				<Trip key={code} code={code} cause={cause} scene={scene} acknowledge={acknowledge} />
			))}
			<Outcome asked={asked} words={live.trip} />
		</div>
	);
}

interface TripProps {
	readonly code: string;
	readonly cause: string;
	readonly scene: SceneNow;
	readonly acknowledge: () => void;
}

const rowOf = (code: string) => (Object.hasOwn(trips, code) ? trips[code as TripCode] : null);

function Trip({ code, cause, scene, acknowledge }: TripProps) {
	const { rig, live } = words();
	const said = rig.trips[code] ?? rig.otherTrip;
	const row = rowOf(code);
	const why = (scene.senses?.blocked ?? []).filter((one) => one.code === code);
	return (
		<Notice kind="alarm" title={live.trip.heading(said.name)}>
			<p>{said.cause}</p>
			{row?.cause.startsWith(cause) !== true && (
				<p>
					{live.trip.causeTold} <Told>{cause}</Told>
				</p>
			)}
			<h2 class="trip-head">{live.trip.steps}</h2>
			<ol>
				{said.steps.map((step) => (
					<li key={step}>{step}</li>
				))}
			</ol>
			{why.length > 0 && (
				<>
					<h2 class="trip-head">{live.trip.notYet}</h2>
					<Reasons reasons={why.map((one) => one.why)} />
				</>
			)}
			{row?.acknowledgeAt === "anywhere" ? (
				<>
					<p>
						{live.trip.here} {row.afterwards === "go on" ? live.trip.goesOn : live.trip.ends}
					</p>
					{row.afterwards === "go on" && <p>{live.order.caution}</p>}
					<Button kind="main" onPress={acknowledge}>
						{live.trip.acknowledge}
					</Button>
				</>
			) : (
				<p>
					{live.trip.atBox} {row?.afterwards === "go on" ? live.trip.goesOn : live.trip.ends}
				</p>
			)}
			<p class="hint">
				<Told>{code}</Told>
			</p>
		</Notice>
	);
}
