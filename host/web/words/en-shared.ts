// Words that every page loads, in English: what its frame says, the rig, the live view and the
// bench that has it too.

import { bench } from "./en-bench.ts";
import { kit } from "./en-kit.ts";
import { live } from "./en-live.ts";
import { rig } from "./en-rig.ts";

export const shared = {
	/** For numbers and dates, and the page's `lang`. */
	locale: "en",
	/** Of the language, in itself. */
	language: "English",
	kit,
	rig,
	live,
	bench,
};
