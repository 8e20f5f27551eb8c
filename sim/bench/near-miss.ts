// Other values at some places of a document, each place named by keys and numbers from 0 with dots
// between, as `faults.0.size`: what a near miss is proven with. Pure; imports nothing.

/** @returns a copy with the values in place, or the first place that is not there */
export function withInstead<T>(
	document: T,
	ifInstead: Readonly<Record<string, unknown>>,
): { document: T } | { place: string } {
	const copy = structuredClone(document);
	for (const [place, value] of Object.entries(ifInstead)) {
		if (!put(copy, place.split("."), value)) return { place };
	}
	return { document: copy };
}

function put(root: unknown, path: readonly string[], value: unknown): boolean {
	let at = root;
	for (const [i, key] of path.entries()) {
		if (typeof at !== "object" || at === null || !Object.hasOwn(at, key)) return false;
		if (i === path.length - 1) return Reflect.set(at, key, value);
		at = Reflect.get(at, key);
	}
	return false;
}
