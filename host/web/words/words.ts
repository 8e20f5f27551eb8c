// The catalogue in use: pages ask `words()` for every text that they show, and a page's own file,
// as season/season-words.ts, for what no other page has to load. Pure; which language it is,
// kit/start.tsx finds out. The invented language shows in a test what came past the catalogue.

import type { en } from "./en.ts";
import { shared } from "./en-shared.ts";
import { invented } from "./invented.ts";

export type Words = typeof en;

/** Those that a reader is offered, by the key under which a choice is stored. */
export const offered: readonly string[] = ["en"];

const INVENTED = "invented";

let language = "en";

/** @param choice one that is offered, or the invented one; another one is English */
export function speak(choice: string): void {
	language = choice;
}

/**
 * Words of one part in the language in use.
 * @param texts by language; English stands in for one that is not there
 */
export function spoken<T>(texts: { readonly en: T } & Readonly<Record<string, T>>): () => T {
	let changed: T | undefined;
	return () => {
		if (language !== INVENTED) return texts[language] ?? texts.en;
		changed ??= invented(texts.en);
		return changed;
	};
}

const SHARED: { readonly en: typeof shared } & Readonly<Record<string, typeof shared>> = {
	en: shared,
};

export const words = spoken(SHARED);

/** What a language calls itself. */
export const nameOfLanguage = (key: string): string => SHARED[key]?.language ?? key;
