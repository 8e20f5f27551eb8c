// The season page: the answer of one rig, drawn from the very document that its paper is made of,
// in the reader's units, with that paper to take away.

import { useEffect, useState } from "preact/hooks";
import { seasonPaper } from "../../report/season-blocks.ts";
import type { SeasonAnswer } from "../../report/season-schema.ts";
import { Button } from "../kit/button.tsx";
import { useChoices } from "../kit/choices.ts";
import { Select } from "../kit/field.tsx";
import { Notice, Told } from "../kit/notice.tsx";
import { Page } from "../kit/page.tsx";
import { ask } from "../kit/server.ts";
import { startPage } from "../kit/start.tsx";
import { words } from "../words/words.ts";
import { PaperView } from "./paper-view.tsx";
import { Takeaways } from "./takeaways.tsx";
import "./season.css";
import { seasonWords } from "./season-words.ts";

/** What has come of what was asked. */
type Heard<T> = { readonly got: T } | { readonly fault: string } | "waiting";

function useAnswer<T>(path: string | null, again: number): Heard<T> {
	const [heard, setHeard] = useState<Heard<T>>("waiting");
	useEffect(() => {
		if (path === null) return;
		let isWanted = true;
		const settle = (outcome: Heard<T>) => {
			if (isWanted) setHeard(outcome);
		};
		setHeard("waiting");
		ask("GET", path).then(
			(got) => settle({ got: got as T }),
			(error: unknown) =>
				settle({ fault: error instanceof Error ? error.message : seasonWords().noServer }),
		);
		return () => {
			isWanted = false;
		};
	}, [path, again]);
	return heard;
}

function Season() {
	const season = seasonWords();
	const [again, setAgain] = useState(0);
	const [picked, pick] = useState<string | null>(null);
	const heard = useAnswer<{ rigs: readonly string[] }>("/api/rigs", again);
	const rigs = typeof heard === "object" && "got" in heard ? heard.got.rigs : [];
	const rig = picked ?? rigs[0] ?? null;
	return (
		<Page at="season">
			{heard === "waiting" && <p role="status">{season.waiting}</p>}
			{typeof heard === "object" && "fault" in heard && (
				<Fault words={heard.fault} onAgain={() => setAgain(again + 1)} />
			)}
			{typeof heard === "object" && "got" in heard && rig === null && (
				<>
					<h1>{season.title}</h1>
					<p>{season.noRigs}</p>
				</>
			)}
			{rigs.length > 1 && rig !== null && (
				<Select
					label={season.rig}
					value={rig}
					options={rigs.map((name) => [name, name] as const)}
					onPick={pick}
				/>
			)}
			{rig !== null && <OneRig key={rig} rig={rig} />}
		</Page>
	);
}

function OneRig({ rig }: { readonly rig: string }) {
	const season = seasonWords();
	const taste = useChoices();
	const [again, setAgain] = useState(0);
	const heard = useAnswer<SeasonAnswer>(`/api/season?rig=${encodeURIComponent(rig)}`, again);
	const onAgain = () => setAgain(again + 1);
	if (heard === "waiting") return <p role="status">{season.waiting}</p>;
	if ("fault" in heard) return <Fault words={heard.fault} onAgain={onAgain} />;
	const paper = seasonPaper(heard.got, taste, { ...words(), season: seasonWords() });
	return (
		<PaperView paper={paper} afterTitle={<Takeaways rig={rig} taste={taste} onAgain={onAgain} />} />
	);
}

function Fault(props: { readonly words: string; readonly onAgain: () => void }) {
	const season = seasonWords();
	return (
		<Notice kind="alarm" title={season.noAnswer} isUrgent>
			<p>
				<Told>{props.words}</Told>
			</p>
			<Button onPress={props.onAgain}>{season.again}</Button>
		</Notice>
	);
}

startPage("season", () => <Season />);
