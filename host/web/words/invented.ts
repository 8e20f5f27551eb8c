// An invented language: the catalogue with every letter changed for one that looks like it, and
// every text longer by a third, as another language may be. A Latin letter that is left on a page
// did not come from the catalogue. Pure.

const PLAIN = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ";
const CHANGED = "åƀçđéƒğħîĵķłɱñöƥɋřšţûṽŵẋýžÅƁÇĐÉƑĞĦÎĴĶŁṀÑÖƤɊŘŠŢÛṼŴẊÝŽ";
const changed = new Map([...PLAIN].map((letter, i) => [letter, [...CHANGED][i] ?? letter]));

/** Letters of what is put into a phrase are kept apart from the phrase's own; private use area. */
const APART = 0xe000;
const setApart = (text: string) =>
	text.replaceAll(/[a-zA-Z]/g, (letter) => String.fromCodePoint(APART + letter.charCodeAt(0)));
const putBack = (text: string) =>
	text.replaceAll(/[\ue000-\ue0ff]/g, (mark) => String.fromCodePoint(mark.charCodeAt(0) - APART));

/** Keys whose text is no word: for the browser, not for a reader. */
const LEFT = new Set(["locale"]);

export function invented<T>(value: T, key = ""): T {
	return change(value, key) as T;
}

function change(value: unknown, key: string): unknown {
	if (LEFT.has(key)) return value;
	if (typeof value === "string") return changeText(value);
	if (typeof value === "function") {
		return (...given: readonly unknown[]) => {
			const apart = given.map((one) => (typeof one === "string" ? setApart(one) : one));
			return restore(change(value(...apart), ""));
		};
	}
	if (Array.isArray(value)) return value.map((one) => change(one, ""));
	if (typeof value !== "object" || value === null) return value;
	return Object.fromEntries(Object.entries(value).map(([name, one]) => [name, change(one, name)]));
}

const restore = (value: unknown): unknown => {
	if (typeof value === "string") return putBack(value);
	return Array.isArray(value) ? value.map(restore) : value;
};

/** Units and marks of a letter or two stay as short as they are. */
function changeText(text: string): string {
	const letters = [...text].map((letter) => changed.get(letter) ?? letter).join("");
	return text.length < 4 ? letters : letters + "·".repeat(Math.ceil(text.length / 3));
}
