// The logbook page: forms of notes, what is on its way, the notes, and what they add up to. What is
// written is kept in the browser until the server has it.

import { useEffect, useMemo, useRef, useState } from "preact/hooks";
import type { NoteKind } from "../../archive/note.ts";
import type { NotesAnswer } from "../../archive/note-answers.ts";
import { Select } from "../kit/field.tsx";
import { newId } from "../kit/new-id.ts";
import { Notice, Told } from "../kit/notice.tsx";
import { Page } from "../kit/page.tsx";
import { ask, ServerRefusal } from "../kit/server.ts";
import { startPage } from "../kit/start.tsx";
import { serverDeeds } from "../live/deeds.ts";
import { Pairing } from "../live/pairing.tsx";
import "./logbook.css";
import { logbookWords } from "./logbook-words.ts";
import { NoteList } from "./note-list.tsx";
import { Outbox, type Waiting } from "./outbox.ts";
import { type Sent, sendOne } from "./sending.ts";
import { Elements, Ledger, Spots } from "./sums.tsx";
import { WaitingList } from "./waiting-list.tsx";
import { Writing } from "./writing.tsx";

const AGAIN_MS = 15_000;
/** Where nothing waits to be sent, the list is asked for each minute only. */
const QUIET_ROUNDS = 4;

/** What the server last said of the book. */
interface Heard {
	readonly book: NotesAnswer | null;
	readonly isLost: boolean;
	/** What it refused, in its words. */
	readonly refused: string;
}

function keeperOf() {
	try {
		return localStorage;
	} catch {
		return null;
	}
}

function Logbook() {
	const logbook = logbookWords();
	const outbox = useMemo(() => new Outbox(keeperOf(), newId), []);
	const [, redraw] = useState(0);
	const [heard, setHeard] = useState<Heard>({ book: null, isLost: false, refused: "" });
	const [rig, setRig] = useState<string | null>(null);
	const [kind, setKind] = useState<NoteKind>("uplift");
	const [formNumber, setFormNumber] = useState(0);
	const [isUnpaired, setUnpaired] = useState(false);
	const [isPairing, setPairing] = useState(false);
	const [notStruck, setNotStruck] = useState("");
	const afterPairing = useRef<() => void>(() => undefined);
	const chosen = useRef<string | null>(null);
	const isAway = useRef(false);
	const deeds = useMemo(() => serverDeeds(() => undefined), []);
	const follow = () => redraw((n) => n + 1);

	const load = async () => {
		const query = chosen.current === null ? "" : `?rig=${encodeURIComponent(chosen.current)}`;
		try {
			const book = (await ask("GET", `/api/notes${query}`)) as NotesAnswer;
			isAway.current = false;
			setHeard({ book, isLost: false, refused: "" });
		} catch (error) {
			const isNo = error instanceof ServerRefusal;
			const refused = isNo ? error.message : "";
			isAway.current = !isNo;
			setHeard((before) => ({ book: before.book, isLost: !isNo, refused }));
		}
	};
	const send = async (note: Waiting): Promise<Sent> => {
		const sent = await sendOne(outbox, note);
		if (sent.is === "unpaired") setUnpaired(true);
		else if (sent.is !== "lost") {
			setUnpaired(false);
			await load();
		}
		follow();
		return sent;
	};
	const isFlushing = useRef(false);
	const flush = async () => {
		if (isFlushing.current) return;
		isFlushing.current = true;
		for (const note of outbox.waiting) {
			if (note.refused !== "") continue;
			const sent = await send(note);
			if (sent.is === "lost" || sent.is === "unpaired") break;
		}
		isFlushing.current = false;
	};
	const pairFor = (deed: () => void) => {
		afterPairing.current = deed;
		setPairing(true);
	};
	const strike = async (id: string) => {
		setNotStruck("");
		try {
			await ask("POST", "/api/notes/strike", { id });
		} catch (error) {
			if (error instanceof ServerRefusal && error.status === 401) pairFor(() => void strike(id));
			else setNotStruck(error instanceof ServerRefusal ? error.message : logbook.noServer);
		}
		await load();
	};
	useEffect(() => {
		void load().then(flush);
		const again = () => void load().then(flush);
		let rounds = 0;
		const timer = setInterval(() => {
			rounds += 1;
			const isQuiet = outbox.waiting.length === 0 && !isAway.current;
			if (!isQuiet || rounds % QUIET_ROUNDS === 0) again();
		}, AGAIN_MS);
		addEventListener("online", again);
		return () => {
			clearInterval(timer);
			removeEventListener("online", again);
		};
	}, []);

	const { book, isLost, refused } = heard;
	const rigs = book?.rigs ?? [];
	const pickRig = (name: string) => {
		chosen.current = name;
		setRig(name);
		void load();
	};
	return (
		<Page at="logbook">
			<h1>{logbook.title}</h1>
			<p>{logbook.intro}</p>
			<div role="status">
				{isLost && (
					<Notice kind="caution">
						<p>{logbook.noServer}</p>
					</Notice>
				)}
				{refused !== "" && (
					<Notice kind="caution" title={logbook.serverSaid}>
						<p>
							<Told>{refused}</Told>
						</p>
					</Notice>
				)}
				{book === null && !isLost && refused === "" && <p>{logbook.loading}</p>}
			</div>
			{rigs.length > 1 && (
				<Select
					label={logbook.rig}
					value={rig ?? book?.rig ?? ""}
					options={rigs.map((name) => [name, name] as const)}
					onPick={pickRig}
				/>
			)}
			<WaitingList
				outbox={outbox}
				isUnpaired={isUnpaired}
				onPair={() => pairFor(() => void flush())}
				onSend={() => void flush()}
				onBack={(one) => {
					outbox.takeBack(one, false);
					setKind(one.kind);
					setFormNumber(formNumber + 1);
				}}
				onDrop={({ id }) => {
					outbox.drop(id);
					follow();
				}}
			/>
			<div class="logbook-columns">
				<section aria-labelledby="write-heading">
					<h2 id="write-heading">{logbook.write}</h2>
					<Writing
						key={formNumber}
						kind={kind}
						onKind={setKind}
						book={book}
						rig={rig ?? (rigs.length > 1 ? (book?.rig ?? null) : null)}
						onRig={setRig}
						outbox={outbox}
						send={send}
					/>
				</section>
				{book !== null && (
					<NoteList notes={book.notes} strike={(id) => void strike(id)} refused={notStruck} />
				)}
			</div>
			{book !== null && (
				<>
					<Ledger ledger={book.ledger} />
					<Spots maps={book.spots} />
					<Elements elements={book.elements} />
				</>
			)}
			<Pairing
				deeds={deeds}
				isOpen={isPairing}
				onClose={() => setPairing(false)}
				onPaired={() => {
					setPairing(false);
					afterPairing.current();
				}}
			/>
		</Page>
	);
}

startPage("logbook", () => <Logbook />);
