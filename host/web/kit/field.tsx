// Form fields, each with its label, what it is for, and what is wrong with it in words beside it,
// tied to it for a screen reader.

import type { ComponentChildren } from "preact";
import { useId } from "preact/hooks";
import { words } from "../words/words.ts";

interface About {
	readonly label: string;
	readonly hint?: string | undefined;
	/** What is wrong with what was entered. */
	readonly error?: string | undefined;
	readonly isOptional?: boolean;
}

export interface FieldProps extends About {
	readonly value: string;
	readonly onType: (value: string) => void;
	/** `number` asks for a number's keyboard and leaves the reading of it to `numberIn`. */
	readonly kind?: "text" | "number" | "date" | "datetime-local" | "code";
	/** Shown behind it. */
	readonly unit?: string;
	readonly isLong?: boolean;
	readonly name?: string;
}

/** The ids by which an input is tied to its hint and its error. */
function useTies({ hint, error }: About) {
	const id = useId();
	const hintId = hint === undefined ? undefined : `${id}-hint`;
	const errorId = error === undefined ? undefined : `${id}-error`;
	const describedBy = [hintId, errorId].filter((one) => one !== undefined).join(" ");
	return { id, hintId, errorId, describedBy: describedBy === "" ? undefined : describedBy };
}

type Ties = ReturnType<typeof useTies>;

function Around({ about, ties, children }: AroundProps) {
	const { label, hint, error, isOptional = false } = about;
	return (
		<div class={error === undefined ? "field" : "field field-wrong"}>
			<label for={ties.id}>
				{label}
				{isOptional && <span class="aside"> ({words().kit.optional})</span>}
			</label>
			{hint !== undefined && (
				<p class="hint" id={ties.hintId}>
					{hint}
				</p>
			)}
			{children}
			<Wrong id={ties.errorId} error={error} />
		</div>
	);
}

interface AroundProps {
	readonly about: About;
	readonly ties: Ties;
	readonly children: ComponentChildren;
}

function Wrong({ id, error }: { id: string | undefined; error: string | undefined }) {
	if (error === undefined) return null;
	return (
		<p class="wrong" id={id}>
			<span aria-hidden="true">▲ </span>
			{error}
		</p>
	);
}

export function Field(props: FieldProps) {
	const { value, onType, kind = "text", unit, isLong = false, name, error } = props;
	const ties = useTies(props);
	const shared = {
		id: ties.id,
		name,
		value,
		"aria-describedby": ties.describedBy,
		"aria-invalid": error === undefined ? undefined : true,
	};
	const inputMode = kind === "number" ? "decimal" : kind === "code" ? "numeric" : undefined;
	return (
		<Around about={props} ties={ties}>
			<span class="input-line">
				{isLong ? (
					<textarea {...shared} rows={3} onInput={(event) => onType(event.currentTarget.value)} />
				) : kind === "date" || kind === "datetime-local" ? (
					<input {...shared} type={kind} onInput={(event) => onType(event.currentTarget.value)} />
				) : (
					<input
						{...shared}
						type="text"
						inputMode={inputMode}
						autocomplete={kind === "code" ? "one-time-code" : "off"}
						onInput={(event) => onType(event.currentTarget.value)}
					/>
				)}
				{unit !== undefined && <span class="unit">{unit}</span>}
			</span>
		</Around>
	);
}

/** Key and text of what can be picked. */
export type Options = ReadonlyArray<readonly [key: string, text: string]>;

export interface SelectProps extends About {
	readonly value: string;
	readonly options: Options;
	readonly onPick: (value: string) => void;
	readonly name?: string;
}

export function Select(props: SelectProps) {
	const { value, options, onPick, name, error } = props;
	const ties = useTies(props);
	return (
		<Around about={props} ties={ties}>
			<select
				id={ties.id}
				name={name}
				value={value}
				aria-describedby={ties.describedBy}
				aria-invalid={error === undefined ? undefined : true}
				onChange={(event) => onPick(event.currentTarget.value)}
			>
				{options.map(([key, text]) => (
					<option key={key} value={key}>
						{text}
					</option>
				))}
			</select>
		</Around>
	);
}

/** One of a few, all of them seen; none is picked until the reader does. */
export function Choice(props: SelectProps) {
	const { label, hint, value, options, onPick, name, error } = props;
	const ties = useTies(props);
	return (
		<fieldset class={error === undefined ? "choice" : "choice field-wrong"}>
			<legend>{label}</legend>
			{hint !== undefined && (
				<p class="hint" id={ties.hintId}>
					{hint}
				</p>
			)}
			{options.map(([key, text]) => (
				<label class="pick" key={key}>
					<input
						type="radio"
						name={name ?? ties.id}
						value={key}
						checked={value === key}
						aria-describedby={ties.describedBy}
						onChange={() => onPick(key)}
					/>
					<span>{text}</span>
				</label>
			))}
			<Wrong id={ties.errorId} error={error} />
		</fieldset>
	);
}

export interface TickProps {
	readonly label: string;
	readonly isOn: boolean;
	readonly onTurn: (isOn: boolean) => void;
	readonly hint?: string;
	readonly error?: string | undefined;
}

export function Tick(props: TickProps) {
	const { label, hint, error, isOn, onTurn } = props;
	const ties = useTies(props);
	return (
		<div class={error === undefined ? "field" : "field field-wrong"}>
			<label class="pick">
				<input
					id={ties.id}
					type="checkbox"
					checked={isOn}
					aria-describedby={ties.describedBy}
					aria-invalid={error === undefined ? undefined : true}
					onChange={(event) => onTurn(event.currentTarget.checked)}
				/>
				<span>{label}</span>
			</label>
			{hint !== undefined && (
				<p class="hint" id={ties.hintId}>
					{hint}
				</p>
			)}
			<Wrong id={ties.errorId} error={error} />
		</div>
	);
}
