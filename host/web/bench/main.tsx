// The bench page: the controller and a simulated rig in a thread of this page, the very same live
// view that watches a real one, and the world around it to be changed by hand. Nothing is asked of
// any server once it stands.

import type { ComponentChildren } from "preact";
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
import { HazardsList, HazardsNow } from "./hazards-panel.tsx";
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
			<Fold title={bench.world.heading} isOpen>
				<WorldPanel key={start} world={world} act={act} />
			</Fold>
			<Fold title={bench.people.heading}>
				<PeoplePanel act={act} />
			</Fold>
			<Fold title={bench.faults.heading}>
				{scene.rig !== null && <FaultsPanel key={start} world={world} rig={scene.rig} act={act} />}
			</Fold>
			<Fold title={bench.save.heading}>
				<SavePanel client={client} startTitle={titleOf(start)} />
			</Fold>
			<Fold title={bench.time.again}>
				<Beginnings told={told} start={start} client={client} titleOf={titleOf} />
			</Fold>
		</div>
	);
}

/** There is room for all of it beside what is watched; elsewhere the reader unfolds it. */
const isWide = () => matchMedia("(min-width: 62rem)").matches;

interface FoldProps {
	readonly title: string;
	readonly isOpen?: boolean;
	readonly children: ComponentChildren;
}

function Fold({ title, isOpen = false, children }: FoldProps) {
	const [begins] = useState(() => isOpen || isWide());
	return (
		<details class="more fold" open={begins}>
			<summary>
				<h2>{title}</h2>
			</summary>
			{children}
		</details>
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
	const hazards = { hazards: told.hazards, acting: world.acting, isDead: world.isDead };
	return (
		<div class="bench-watched">
			<HazardsNow {...hazards} />
			{world.isDead && (
				<Notice kind="alarm" isUrgent>
					<p>{bench.dead}</p>
				</Notice>
			)}
			<LiveView scene={scene} series={told.series} deeds={client.deeds} truth={truth} />
			<section aria-labelledby="hazards-title">
				<h2 id="hazards-title">{bench.hazards.heading}</h2>
				<HazardsList {...hazards} />
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
