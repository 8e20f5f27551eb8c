// The catalogue in use: pages ask `words()` for every text that they show. Pure; which language it
// is, kit/start.tsx finds out. The invented language shows in a test what came past the catalogue.

import { en } from "./en.ts";
import { invented } from "./invented.ts";

export type Words = typeof en;

/** By the key under which a choice is stored. */
export const languages: Readonly<Record<string, () => Words>> = {
	en: () => en,
	invented: () => invented(en),
};

/** Those that a reader is offered. */
export const offered: readonly string[] = ["en"];

let current: Words = en;

export const words = (): Words => current;

/** @param language a key of `languages`; another one is English */
export function speak(language: string): void {
	current = languages[language]?.() ?? en;
}
