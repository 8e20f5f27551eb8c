// A name that nothing else has, for an order or a note, so that sending it twice does it once. The
// browser's own `randomUUID` is missing on a page that came by plain HTTP from another machine.

/** 32 hexadecimal digits. */
export function newId(): string {
	const bytes = crypto.getRandomValues(new Uint8Array(16));
	return [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}
