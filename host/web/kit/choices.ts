// What the reader has chosen for good: units, light, language. Kept by the browser; a browser that
// keeps nothing gets the defaults. Every part of a page that shows it follows a change, in other
// windows too. Preact alone.

import { useEffect, useState } from "preact/hooks";
import { SI, type Taste } from "../units.ts";

export interface Choices extends Taste {
	readonly theme: "auto" | "day" | "night";
	readonly language: string;
}

const KEY = "lees.choices";
const DEFAULTS: Choices = { ...SI, theme: "auto", language: "en" };
const allowed: Partial<Record<keyof Choices, readonly string[]>> = {
	volume: ["litres", "gallons"],
	pressure: ["kilopascal", "inchesOfMercury"],
	temperature: ["celsius", "fahrenheit"],
	theme: ["auto", "day", "night"],
};

let current = read();
const followers = new Set<() => void>();

export const choices = (): Choices => current;

export function choose(change: Partial<Choices>): void {
	current = { ...current, ...change };
	try {
		localStorage.setItem(KEY, JSON.stringify(current));
	} catch {
		// It holds until the page is closed.
	}
	for (const follow of followers) follow();
}

/** Calls back after each change. @returns ends it */
export function onChoice(follow: () => void): () => void {
	followers.add(follow);
	return () => followers.delete(follow);
}

addEventListener("storage", ({ key }) => {
	if (key !== KEY) return;
	current = read();
	for (const follow of followers) follow();
});

export function useChoices(): Choices {
	const [seen, setSeen] = useState(current);
	useEffect(() => onChoice(() => setSeen(current)), []);
	return seen;
}

/** What is kept may be of an older page, or of another hand. */
function read(): Choices {
	let kept: unknown = null;
	try {
		kept = JSON.parse(localStorage.getItem(KEY) ?? "null");
	} catch {
		return DEFAULTS;
	}
	if (typeof kept !== "object" || kept === null) return DEFAULTS;
	const known = Object.entries(kept).filter(([key, value]) => {
		if (!Object.hasOwn(DEFAULTS, key) || typeof value !== "string") return false;
		return allowed[key as keyof Choices]?.includes(value) ?? true;
	});
	return { ...DEFAULTS, ...Object.fromEntries(known) };
}
