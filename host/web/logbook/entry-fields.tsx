// The fields of a note's form, each drawn as its kind asks. Names that are known are offered, and
// another one may always be typed.

import type { NotesAnswer } from "../../archive/note-answers.ts";
import { useChoices } from "../kit/choices.ts";
import { Choice, Field, type Options, Select, Tick } from "../kit/field.tsx";
import { unitOf } from "../units.ts";
import { words } from "../words/words.ts";
import { localText } from "./local-text.ts";
import { logbookWords } from "./logbook-words.ts";
import type { NoteField } from "./note-fields.ts";
import { type Errors, namesIn, type Values } from "./note-form.ts";

export interface EntryFieldProps {
	readonly field: NoteField;
	readonly values: Values;
	readonly errors: Errors;
	/** Null before the server has answered. */
	readonly book: NotesAnswer | null;
	readonly set: (change: Values) => void;
}

/** Beside a value: that it is typed, and none of those that are known. */
const otherKey = (name: string) => `${name}?`;
const OTHER = "?";

export function EntryField(props: EntryFieldProps) {
	const { field, values, errors, book, set } = props;
	const logbook = logbookWords();
	const { kit } = words();
	const taste = useChoices();
	const about = {
		label: logbook.fields[field.label],
		hint: field.hint === undefined ? undefined : logbook.hints[field.hint],
		error: errors[field.name],
		isOptional: field.isOptional === true,
		value: values[field.name] ?? "",
		name: field.name,
	};
	const type = (value: string) => set({ [field.name]: value });
	switch (field.kind) {
		case "tank":
			return <Named {...props} known={book?.tanks ?? []} hint={logbook.hints.tank} />;
		case "container":
			return <Named {...props} known={book?.ledger.containers.map((one) => one.container) ?? []} />;
		case "litres":
			return <Field {...about} kind="number" unit={unitOf("volume", taste)} onType={type} />;
		case "ml":
			return <Field {...about} kind="number" unit={kit.units.millilitres} onType={type} />;
		case "microns":
			return <Field {...about} kind="number" unit={kit.units.microns} onType={type} />;
		case "whole":
			return <Field {...about} kind="number" onType={type} />;
		case "words":
			return <Field {...about} isLong onType={type} />;
		case "time":
			return <Field {...about} kind="datetime-local" onType={type} />;
		case "from":
			return <Choice {...about} options={Object.entries(logbook.froms)} onPick={type} />;
		case "looked":
			return <Choice {...about} options={Object.entries(logbook.looks)} onPick={type} />;
		case "judged":
			return <Choice {...about} options={Object.entries(logbook.judged)} onPick={type} />;
		case "run":
			return <Select {...about} options={runOptions(book)} onPick={type} />;
		case "done":
			return <DoneSpots {...props} />;
		default:
			return <Field {...about} onType={type} />;
	}
}

function runOptions(book: NotesAnswer | null): Options {
	const logbook = logbookWords();
	const { rig } = words();
	const runs = (book?.runs ?? []).map(({ run, work, tank, began }) => {
		const when = "utcMs" in began ? localText(began.utcMs) : logbook.undated;
		return [String(run), logbook.runOf(String(run), rig.work[work] ?? work, tank, when)] as const;
	});
	return [["", logbook.none], ...runs];
}

interface NamedProps extends EntryFieldProps {
	readonly known: readonly string[];
	readonly hint?: string;
}

/** One of the names that are known, or another. */
function Named({ field, values, errors, set, known, hint }: NamedProps) {
	const logbook = logbookWords();
	const { kit } = words();
	const { name } = field;
	const value = values[name] ?? "";
	const isOther = values[otherKey(name)] === OTHER;
	const isTyped = known.length === 0 || isOther || (value !== "" && !known.includes(value));
	const about = { error: errors[name], isOptional: field.isOptional === true };
	const label = logbook.fields[field.label];
	const pick = (picked: string) =>
		set(
			picked === OTHER
				? { [name]: "", [otherKey(name)]: OTHER }
				: { [name]: picked, [otherKey(name)]: "" },
		);
	const first = field.isOptional === true ? logbook.none : kit.choose;
	return (
		<>
			{known.length > 0 && (
				<Select
					label={label}
					name={name}
					value={isTyped ? OTHER : value}
					options={[
						["", first],
						...known.map((one) => [one, one] as const),
						[OTHER, logbook.another],
					]}
					onPick={pick}
					isOptional={about.isOptional}
					error={isTyped ? undefined : about.error}
				/>
			)}
			{isTyped && (
				<Field
					{...about}
					label={known.length > 0 ? logbook.otherOf(label) : label}
					name={known.length > 0 ? otherKey(name) : name}
					hint={hint}
					value={value}
					onType={(text) => set({ [name]: text })}
				/>
			)}
		</>
	);
}

/** Ticks for those of the tank's map, and a line for others. */
function DoneSpots({ field, values, errors, book, set }: EntryFieldProps) {
	const logbook = logbookWords();
	const { name } = field;
	const map = book?.spots.find(({ tank }) => tank === values.tank);
	const known = map?.spots.map(({ spot }) => spot) ?? [];
	const picked = namesIn(values[name] ?? "");
	const more = values[otherKey(name)] ?? picked.filter((spot) => !known.includes(spot)).join(", ");
	const put = (ticked: readonly string[], others: string) =>
		set({ [name]: [...ticked, ...namesIn(others)].join(","), [otherKey(name)]: others });
	const ticked = picked.filter((spot) => known.includes(spot));
	return (
		<fieldset class="choice">
			<legend>{logbook.fields[field.label]}</legend>
			{known.map((spot) => (
				<Tick
					key={spot}
					label={spot}
					isOn={ticked.includes(spot)}
					onTurn={(isOn) =>
						put(isOn ? [...ticked, spot] : ticked.filter((one) => one !== spot), more)
					}
				/>
			))}
			<Field
				label={known.length > 0 ? logbook.hints.moreSpots : logbook.hints.spots}
				name={name}
				value={more}
				error={errors[name]}
				onType={(text) => put(ticked, text)}
			/>
		</fieldset>
	);
}
