// The notes of a rig, newest first, struck ones among them; each may be struck after a question.
// What is in them are people's own words and stands as they wrote it.

import { useState } from "preact/hooks";
import type { ListedNote } from "../../archive/note-answers.ts";
import { Button } from "../kit/button.tsx";
import { useChoices } from "../kit/choices.ts";
import { Dialog } from "../kit/dialog.tsx";
import { Told } from "../kit/notice.tsx";
import { words } from "../words/words.ts";
import { localText } from "./local-text.ts";
import { logbookWords } from "./logbook-words.ts";
import { noteText } from "./note-text.ts";

/** So many are shown at first. */
const SHOWN = 20;

export interface NoteListProps {
	readonly notes: readonly ListedNote[];
	readonly strike: (id: string) => void;
	/** Why the last one was not struck; empty when it was. */
	readonly refused: string;
}

export function NoteList({ notes, strike, refused }: NoteListProps) {
	const { list, kinds } = logbookWords();
	const [showsAll, setShowsAll] = useState(false);
	const [asked, setAsked] = useState<ListedNote | null>(null);
	const newest = [...notes].reverse();
	const shown = showsAll ? newest : newest.slice(0, SHOWN);
	const nameOf = ({ note }: ListedNote) => `${kinds[note.kind]}, ${localText(note.atUtcMs)}`;
	return (
		<section aria-labelledby="list-heading">
			<h2 id="list-heading">{list.heading}</h2>
			{notes.length === 0 && <p>{list.none}</p>}
			<div role="status">
				{refused !== "" && (
					<p class="wrong">
						{list.lost} <Told>{refused}</Told>
					</p>
				)}
			</div>
			<ol class="notes">
				{shown.map((one) => (
					<Row key={one.note.id} listed={one} name={nameOf(one)} ask={() => setAsked(one)} />
				))}
			</ol>
			{notes.length > SHOWN && (
				<Button onPress={() => setShowsAll(!showsAll)}>
					{showsAll ? list.fewer : list.all(String(notes.length))}
				</Button>
			)}
			<Dialog title={list.ask} isOpen={asked !== null} onClose={() => setAsked(null)}>
				{asked !== null && (
					<>
						<p>
							<strong>{nameOf(asked)}</strong>
						</p>
						<p>{list.askWhy}</p>
						<div class="row">
							<Button
								kind="main"
								onPress={() => {
									strike(asked.note.id);
									setAsked(null);
								}}
							>
								{list.strike}
							</Button>
							<Button onPress={() => setAsked(null)}>{words().kit.cancel}</Button>
						</div>
					</>
				)}
			</Dialog>
		</section>
	);
}

interface RowProps {
	readonly listed: ListedNote;
	readonly name: string;
	readonly ask: () => void;
}

function Row({ listed: { note, struckUtcMs, photo }, name, ask }: RowProps) {
	const { list, photoShow, photoOf } = logbookWords();
	const taste = useChoices();
	const isStruck = struckUtcMs !== null;
	return (
		<li class={isStruck ? "struck" : undefined}>
			<p class="note-head">
				<strong>{name}</strong>
				{note.by !== null && <Told>{list.by(note.by)}</Told>}
			</p>
			<p>
				<Told>{noteText(note, taste)}</Told>
			</p>
			{note.text !== null && (
				<p>
					<Told>{note.text}</Told>
				</p>
			)}
			{isStruck && <p class="note-struck">{list.struck(localText(struckUtcMs))}</p>}
			<div class="row note-deeds">
				{photo !== null && (
					<a
						class="note-photo"
						href={`/api/photos?note=${encodeURIComponent(note.id)}`}
						aria-label={photoOf(name)}
					>
						{photoShow}
					</a>
				)}
				{!isStruck && (
					<Button kind="quiet" label={list.strikeOf(name)} onPress={ask}>
						{list.strike}
					</Button>
				)}
			</div>
		</li>
	);
}
