// What was written and is not in the logbook yet: forms that are half filled in, and notes that
// could not be sent. Both outlive a reload, in whatever store the browser has. A note keeps the id
// that it got with its form, so that sending it twice does it once. Pure but for the store.

import type { NoteKind } from "../../archive/note.ts";
import type { EntryFields, Values } from "./note-form.ts";

/** A form as it was left. */
export interface Draft {
	/** Of the note that it will be. */
	readonly id: string;
	readonly values: Values;
	/** A data address of the photo, made small. */
	readonly photo: string | null;
}

/** A note on its way. */
export interface Waiting {
	readonly id: string;
	readonly rig: string | null;
	readonly kind: NoteKind;
	readonly fields: EntryFields;
	/** The form, should the server refuse it. */
	readonly values: Values;
	/** By this browser's clock: only how long it waited is told to the server. */
	readonly writtenMs: number;
	readonly photo: string | null;
	/** The note itself is in the logbook; its photo is not. */
	readonly isNoted: boolean;
	/** Why the server will not have it, in its words; empty while it waits. */
	readonly refused: string;
}

interface Shelf {
	readonly drafts: Partial<Record<NoteKind, Draft>>;
	readonly waiting: readonly Waiting[];
}

/** What of the browser's storage is used. */
export interface Keeper {
	getItem(key: string): string | null;
	setItem(key: string, value: string): void;
}

const KEY = "lees.logbook";
const EMPTY: Shelf = { drafts: {}, waiting: [] };

export class Outbox {
	/** False once the store has refused: then all of it ends with the page. */
	isKept: boolean;
	private readonly keeper: Keeper | null;
	private readonly newId: () => string;
	private shelf: Shelf = EMPTY;

	/** @param keeper null where the browser has none */
	constructor(keeper: Keeper | null, newId: () => string) {
		this.keeper = keeper;
		this.isKept = keeper !== null;
		this.newId = newId;
		this.read();
	}

	get waiting(): readonly Waiting[] {
		return this.shelf.waiting;
	}

	/** The form of that kind as it was left, or an empty one. */
	draft(kind: NoteKind): Draft {
		return this.shelf.drafts[kind] ?? { id: this.newId(), values: {}, photo: null };
	}

	setDraft(kind: NoteKind, draft: Draft): void {
		this.read();
		this.write({ ...this.shelf, drafts: { ...this.shelf.drafts, [kind]: draft } });
	}

	/** The form has become a note on its way, and begins anew. */
	send(note: Waiting): void {
		this.read();
		const { [note.kind]: _, ...drafts } = this.shelf.drafts;
		const others = this.shelf.waiting.filter(({ id }) => id !== note.id);
		this.write({ drafts, waiting: [...others, note] });
	}

	change(id: string, change: Partial<Waiting>): void {
		this.read();
		const waiting = this.shelf.waiting.map((one) => (one.id === id ? { ...one, ...change } : one));
		this.write({ ...this.shelf, waiting });
	}

	/** It is in the logbook, or thrown away. */
	drop(id: string): void {
		this.read();
		const waiting = this.shelf.waiting.filter((one) => one.id !== id);
		this.write({ ...this.shelf, waiting });
	}

	/**
	 * A note that was refused becomes a form again.
	 * @param isTaken the server knows another note by its id
	 */
	takeBack({ id, kind, values, photo }: Waiting, isTaken: boolean): void {
		this.drop(id);
		this.setDraft(kind, { id: isTaken ? this.newId() : id, values, photo });
	}

	/** Another window of this browser may have written meanwhile. */
	private read(): void {
		if (this.keeper === null || !this.isKept) return;
		try {
			this.shelf = shelfIn(this.keeper.getItem(KEY));
		} catch {
			this.isKept = false;
		}
	}

	private write(shelf: Shelf): void {
		this.shelf = shelf;
		if (this.keeper === null || !this.isKept) return;
		try {
			this.keeper.setItem(KEY, JSON.stringify(shelf));
		} catch {
			// Full, or not allowed: it holds until the page is closed.
			this.isKept = false;
		}
	}
}

/** What is kept may be of another hand: whatever is no shelf is an empty one. */
function shelfIn(text: string | null): Shelf {
	let found: unknown = null;
	try {
		found = JSON.parse(text ?? "null");
	} catch {
		return EMPTY;
	}
	if (typeof found !== "object" || found === null) return EMPTY;
	const { drafts, waiting } = found as Partial<Shelf>;
	if (typeof drafts !== "object" || drafts === null || !Array.isArray(waiting)) return EMPTY;
	return { drafts, waiting: waiting.filter((one) => typeof one?.id === "string") };
}
