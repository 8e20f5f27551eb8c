// A note as a form: its kind, the caution that goes with it, its fields. What is typed is kept at
// each key; what is sent keeps its id, and is told where it now is.

import { useRef, useState } from "preact/hooks";
import type { NoteKind } from "../../archive/note.ts";
import type { NotesAnswer } from "../../archive/note-answers.ts";
import { Button } from "../kit/button.tsx";
import { useChoices } from "../kit/choices.ts";
import { Field, Select } from "../kit/field.tsx";
import { Notice, Told } from "../kit/notice.tsx";
import { words } from "../words/words.ts";
import { EntryField } from "./entry-fields.tsx";
import { logbookWords } from "./logbook-words.ts";
import { fieldsOf, kinds, withPhoto } from "./note-fields.ts";
import { type Errors, entryFrom, type Values } from "./note-form.ts";
import type { Outbox, Waiting } from "./outbox.ts";
import { PhotoField } from "./photo-field.tsx";
import type { Problem, Sent, Slip } from "./sending.ts";

export interface WritingProps {
	readonly kind: NoteKind;
	readonly onKind: (kind: NoteKind) => void;
	readonly book: NotesAnswer | null;
	readonly rig: string | null;
	readonly onRig: (rig: string) => void;
	readonly outbox: Outbox;
	/** Sends it, and makes the page follow. */
	readonly send: (note: Waiting) => Promise<Sent>;
}

/** What became of the last note. */
interface Outcome {
	readonly is: "saved" | "known" | "kept" | "wrong";
	readonly slip: Slip | null;
	/** What belongs to no field of the form. */
	readonly more: readonly Problem[];
}

export function Writing(props: WritingProps) {
	const { kind, onKind, book, rig, onRig, outbox, send } = props;
	const logbook = logbookWords();
	const taste = useChoices();
	const [draft, setDraft] = useState(() => outbox.draft(kind));
	const [errors, setErrors] = useState<Errors>({});
	const [told, setTold] = useState<Outcome | null>(null);
	const [isBusy, setBusy] = useState(false);
	// A second press comes before the first has been drawn.
	const isSending = useRef(false);
	const form = useRef<HTMLFormElement>(null);

	const keep = (change: Partial<typeof draft>) => {
		const next = { ...draft, ...change };
		setDraft(next);
		outbox.setDraft(kind, next);
	};
	const set = (change: Values) => {
		keep({ values: { ...draft.values, ...change } });
		setErrors(Object.fromEntries(Object.entries(errors).filter(([name]) => !(name in change))));
	};
	const showWrong = (found: Errors, more: readonly Problem[] = []) => {
		setErrors(found);
		setTold({ is: "wrong", slip: null, more });
		const wrong = ".field-wrong :is(input, select, textarea)";
		requestAnimationFrame(() => form.current?.querySelector<HTMLElement>(wrong)?.focus());
	};
	const needsRig = book !== null && book.rigs.length === 0;
	const submit = async () => {
		if (isSending.current) return;
		const filled = entryFrom(kind, draft.values, taste, Date.now());
		const found = "errors" in filled ? { ...filled.errors } : {};
		if (needsRig && (rig ?? "").trim() === "") found.rig = words().kit.fill;
		if (!("fields" in filled) || Object.keys(found).length > 0) {
			showWrong(found);
			return;
		}
		const { id, values, photo } = draft;
		const note = { id, rig: rig?.trim() ?? null, kind, fields: filled.fields, values, photo };
		const waiting = { ...note, writtenMs: Date.now(), isNoted: false, refused: "" };
		isSending.current = true;
		setBusy(true);
		setTold(null);
		outbox.send(waiting);
		const sent = await send(waiting);
		isSending.current = false;
		setBusy(false);
		if (sent.is === "refused" && outbox.waiting.some((one) => one.id === id && !one.isNoted)) {
			outbox.takeBack(waiting, sent.isTaken);
			setDraft(outbox.draft(kind));
			showWrong(errorsIn(sent.problems, kind), sent.problems.filter(isNoField(kind)));
			return;
		}
		setDraft(outbox.draft(kind));
		setErrors({});
		const isThere = sent.is === "added" || sent.is === "known";
		const is = sent.is === "added" ? "saved" : sent.is === "known" ? "known" : "kept";
		setTold({ is, slip: isThere ? sent.slip : null, more: [] });
	};
	return (
		<form
			ref={form}
			noValidate
			onSubmit={(event) => {
				event.preventDefault();
				void submit();
			}}
		>
			{needsRig && (
				<Field
					label={logbook.rig}
					hint={logbook.rigHint}
					name="rig"
					value={rig ?? ""}
					error={errors.rig}
					onType={onRig}
				/>
			)}
			<Select
				label={logbook.kind}
				name="kind"
				value={kind}
				options={kinds.map((one) => [one, logbook.kinds[one]] as const)}
				onPick={(picked) => {
					const next = kinds.find((one) => one === picked) ?? kind;
					onKind(next);
					setDraft(outbox.draft(next));
					setErrors({});
					setTold(null);
				}}
			/>
			<p class="hint">{logbook.help[kind]}</p>
			<Notice kind="caution">
				<p>{logbook.cautions[kind]}</p>
			</Notice>
			<fieldset class="bare" disabled={isBusy}>
				{fieldsOf(kind).map((field) => (
					<EntryField
						key={`${kind} ${field.name}`}
						field={field}
						values={draft.values}
						errors={errors}
						book={book}
						set={set}
					/>
				))}
				{withPhoto.has(kind) && (
					<PhotoField photo={draft.photo} onPick={(photo) => keep({ photo })} />
				)}
			</fieldset>
			<div class="row">
				<Button kind="main" submits isBusy={isBusy}>
					{logbook.save}
				</Button>
			</div>
			<div role="status">
				{isBusy && <p>{logbook.saving}</p>}
				{told !== null && <Ended told={told} />}
			</div>
		</form>
	);
}

const isNoField =
	(kind: NoteKind) =>
	({ what }: Problem): boolean =>
		what !== "rig" && !fieldsOf(kind).some(({ name }) => name === what);

/** The server's refusals at the fields that they are about. */
function errorsIn(problems: readonly Problem[], kind: NoteKind): Errors {
	const { notAllowed } = logbookWords();
	const own = problems.filter((problem) => !isNoField(kind)(problem));
	return Object.fromEntries(own.map(({ what, allowed }) => [what, notAllowed(allowed ?? "")]));
}

function Ended({ told: { is, slip, more } }: { readonly told: Outcome }) {
	const logbook = logbookWords();
	const isBad = is === "wrong" || is === "kept";
	return (
		<Notice kind={isBad ? "caution" : "remark"} title={logbook[is]}>
			{more.map(({ what, found, allowed }) => (
				<p key={what}>
					<Told>{[what, found, allowed].filter((part) => part !== undefined).join("; ")}</Told>
				</p>
			))}
			{slip !== null && (
				<p>
					{(slip.what === "tank" ? logbook.slipTank : logbook.slipRig)(
						slip.name,
						slip.known.join(", "),
					)}
				</p>
			)}
		</Notice>
	);
}
