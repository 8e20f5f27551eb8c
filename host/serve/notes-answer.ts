// What `GET /api/notes` answers: shared by the server that gives it and the page that shows it.
// Types alone.

import type { PastElementAnswer, RunAnswer } from "../archive/answers.ts";
import type { KeptNote } from "../archive/note.ts";
import type { PhotoHead } from "../archive/photo-book.ts";
import type { SpotMap } from "../archive/spots.ts";
import type { WasteLedger } from "../archive/waste-ledger.ts";

export interface ListedNote extends KeptNote {
	readonly photo: PhotoHead | null;
}

export interface NotesAnswer {
	/** Whose notes these are; null: of none that is known yet. */
	readonly rig: string | null;
	/** All that the archive knows. */
	readonly rigs: readonly string[];
	/** Tanks that runs and notes tell of. */
	readonly tanks: readonly string[];
	/** In the order in which things happened, struck ones too. */
	readonly notes: readonly ListedNote[];
	readonly ledger: WasteLedger;
	readonly spots: readonly SpotMap[];
	readonly elements: readonly PastElementAnswer[];
	/** The newest runs, newest first. */
	readonly runs: ReadonlyArray<Pick<RunAnswer, "run" | "work" | "tank" | "began" | "outcome">>;
}
