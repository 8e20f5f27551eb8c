// The live view of a controller: state and trips first, then the picture, the run and its readings,
// orders, coverage, charts and what happened. The live page and the bench page show the very same;
// each of them puts the stop first into its frame (stop-bar.tsx).

import { useState } from "preact/hooks";
import { useAge } from "../kit/age.ts";
import type { Deeds, SceneNow, Series, TruthNow } from "../scene.ts";
import { span } from "../units.ts";
import { words } from "../words/words.ts";
import { useAsking } from "./asking.tsx";
import { Charts } from "./charts.tsx";
import { CoverageList, coverageCount } from "./coverage.tsx";
import { Events } from "./events.tsx";
import "./live.css";
import { Orders } from "./orders.tsx";
import { Pairing, PairingLine } from "./pairing.tsx";
import { Picture } from "./picture.tsx";
import { Readings } from "./readings.tsx";
import { Run } from "./run.tsx";
import { isOld, Standing, State } from "./state.tsx";
import { Trips } from "./trips.tsx";

export interface LiveViewProps {
	readonly scene: SceneNow;
	readonly series: Series;
	readonly deeds: Deeds;
	/** On the bench: what nobody aboard can know. */
	readonly truth?: TruthNow | undefined;
	/** Why nothing comes, where it is not the controller's doing; else left out. */
	readonly outage?: string | undefined;
}

export function LiveView({ scene, series, deeds, truth, outage }: LiveViewProps) {
	const { live } = words();
	const ageMs = useAge(scene, scene.link.heardAgoMs);
	const old = isOld({ scene, ageMs, outage });
	const acknowledging = useAsking();
	/** What is done as soon as the page is paired; null while nothing waits for that. */
	const [waiting, setWaiting] = useState<(() => void) | null>(null);
	const withPairing = (deed: () => void) => {
		if (scene.session.may === "order" || deeds.pair === null) deed();
		else setWaiting(() => deed);
	};
	const acknowledge = () => withPairing(() => void acknowledging.ask(deeds.acknowledge));
	return (
		<div class="live">
			<div class="live-top">
				<div>
					<State scene={scene} ageMs={ageMs} outage={outage} />
					<Trips scene={scene} asked={acknowledging.asked} acknowledge={acknowledge} />
					<Run scene={scene} series={series} truth={truth} isOld={old} />
				</div>
				<section aria-labelledby="picture-title" class={old ? "is-old" : undefined}>
					<h2 id="picture-title" class="unseen">
						{live.picture.heading}
					</h2>
					<Picture scene={scene} truth={truth} isOld={old} />
				</section>
			</div>
			<div class="live-columns">
				<section aria-labelledby="readings-title">
					<h2 id="readings-title">{live.readings.heading}</h2>
					{old && ageMs !== null && <p class="hint">{live.age(span(ageMs))}</p>}
					<Readings senses={scene.senses} truth={truth} />
				</section>
				<section aria-labelledby="orders-title">
					<h2 id="orders-title">{live.order.heading}</h2>
					<Standing scene={scene} />
					<PairingLine session={scene.session} deeds={deeds} />
					<Orders scene={scene} deeds={deeds} withPairing={withPairing} />
				</section>
			</div>
			<section aria-labelledby="charts-title">
				<h2 id="charts-title">{live.charts.heading}</h2>
				<Charts series={series} />
			</section>
			<section aria-labelledby="events-title">
				<h2 id="events-title">{live.events.heading}</h2>
				<Events events={scene.events} />
			</section>
			{scene.rig !== null && (
				<section aria-labelledby="coverage-title">
					<h2 id="coverage-title">{live.coverage.heading}</h2>
					<details class="more">
						<summary>{coverageCount(scene.rig)}</summary>
						<CoverageList rig={scene.rig} />
					</details>
				</section>
			)}
			<Pairing
				deeds={deeds}
				isOpen={waiting !== null}
				onClose={() => setWaiting(null)}
				onPaired={() => {
					waiting?.();
					setWaiting(null);
				}}
			/>
		</div>
	);
}
