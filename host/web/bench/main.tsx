// The bench page: the controller and a simulated rig in a thread of this page, the very same live
// view that watches a real one, and the world around it to be changed by hand. Nothing is asked of
// any server once it stands.

import { useEffect, useRef, useState } from "preact/hooks";
import { Button } from "../kit/button.tsx";
import { Select } from "../kit/field.tsx";
import { Notice, Told } from "../kit/notice.tsx";
import { Page } from "../kit/page.tsx";
import { startPage } from "../kit/start.tsx";
import { LiveView } from "../live/live-view.tsx";
import { StopBar } from "../live/stop-bar.tsx";
import { words } from "../words/words.ts";
import "./bench.css";
import { BenchClient, NOTHING_TOLD, type Told as TellsAll } from "./bench-client.ts";
import { FaultsPanel } from "./faults-panel.tsx";
import { HazardsPanel } from "./hazards-panel.tsx";
import { PeoplePanel } from "./people-panel.tsx";
import { SavePanel } from "./save-panel.tsx";
import { TimeBar } from "./time-bar.tsx";
import { TruthPanel } from "./truth-panel.tsx";
import type { BenchDeed, Frame } from "./world.ts";
import { WorldPanel } from "./world-panel.tsx";

function Bench() {
	const [told, setTold] = useState(NOTHING_TOLD);
	const client = useRef<BenchClient | null>(null);
	useEffect(() => {
		client.current = new BenchClient(setTold);
	}, []);
	const { bench } = words();
	const { frame, ended, isWhole } = told;
	const { current } = client;
	if (current === null || frame === null) {
		return (
			<Page at="bench">
				<h1>{bench.title}</h1>
				{ended === null ? <p role="status">{bench.loading}</p> : <Ended why={ended} />}
			</Page>
		);
	}
	return (
		<Page at="bench" first={<StopBar stop={current.deeds.stop} isAway={ended !== null} />}>
			<div class="bench" data-whole={isWhole ? "" : undefined}>
				<p class="bench-intro">{bench.intro}</p>
				{ended !== null && <Ended why={ended} />}
				<TimeBar frame={frame} client={current} />
				<div class="bench-halves">
					<Controls told={told} frame={frame} client={current} />
					<Watched told={told} frame={frame} client={current} />
				</div>
			</div>
		</Page>
	);
}

interface HalfProps {
	readonly told: TellsAll;
	readonly frame: Frame;
	readonly client: BenchClient;
}

function Controls({ told, frame, client }: HalfProps) {
	const { bench } = words();
	const { world, scene, start } = frame;
	const act = (deed: BenchDeed) => client.do(deed);
	const titleOf = (name: string) => bench.starts[name] ?? bench.otherStart(name);
	return (
		<div class="bench-controls">
			<section aria-labelledby="world-title">
				<h2 id="world-title">{bench.world.heading}</h2>
				<WorldPanel key={start} world={world} act={act} />
			</section>
			<section aria-labelledby="people-title">
				<h2 id="people-title">{bench.people.heading}</h2>
				<PeoplePanel act={act} />
			</section>
			<section aria-labelledby="faults-title">
				<h2 id="faults-title">{bench.faults.heading}</h2>
				{scene.rig !== null && <FaultsPanel world={world} rig={scene.rig} act={act} />}
			</section>
			<section aria-labelledby="save-title">
				<h2 id="save-title">{bench.save.heading}</h2>
				<SavePanel client={client} startTitle={titleOf(start)} />
			</section>
			<section aria-labelledby="start-title">
				<h2 id="start-title">{bench.time.again}</h2>
				<Beginnings told={told} start={start} client={client} titleOf={titleOf} />
			</section>
		</div>
	);
}

interface BeginningsProps {
	readonly told: TellsAll;
	readonly start: string;
	readonly client: BenchClient;
	readonly titleOf: (name: string) => string;
}

function Beginnings({ told, start, client, titleOf }: BeginningsProps) {
	const { time } = words().bench;
	const [picked, setPicked] = useState(start);
	return (
		<>
			<Select
				label={time.start}
				hint={time.startHint}
				value={picked}
				options={told.starts.map((name) => [name, titleOf(name)] as const)}
				onPick={setPicked}
			/>
			<Button onPress={() => client.begin(picked)}>{time.again}</Button>
		</>
	);
}

function Watched({ told, frame, client }: HalfProps) {
	const { bench } = words();
	const { scene, truth, world } = frame;
	return (
		<div class="bench-watched">
			{world.isDead && (
				<Notice kind="alarm" isUrgent>
					<p>{bench.dead}</p>
				</Notice>
			)}
			<LiveView scene={scene} series={told.series} deeds={client.deeds} truth={truth} />
			<section aria-labelledby="hazards-title">
				<h2 id="hazards-title">{bench.hazards.heading}</h2>
				<HazardsPanel hazards={told.hazards} acting={world.acting} isDead={world.isDead} />
			</section>
			<section aria-labelledby="truth-title">
				<h2 id="truth-title">{bench.truth.heading}</h2>
				<TruthPanel frame={frame} />
			</section>
		</div>
	);
}

function Ended({ why }: { readonly why: string }) {
	return (
		<Notice kind="alarm" title={words().bench.broken} isUrgent>
			<p>
				<Told>{why}</Told>
			</p>
		</Notice>
	);
}

startPage("bench", () => <Bench />);
