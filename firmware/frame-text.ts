// Text cut so that the answer which holds it fits a frame of the link. It is counted as it goes over
// the line: as JSON, in UTF-8, with the bytes that a frame escapes. Pure, and without Node's
// buffers: a browser shows the same words.

/** JSON's `\uXXXX`. */
const ESCAPED = 6;

/**
 * The longest beginning of `text` of at most so many bytes; no character that takes two places is
 * cut in half.
 */
export function cutTo(text: string, bytesMax: number): string {
	let bytes = 0;
	let end = 0;
	for (const character of text) {
		bytes += lineBytes(character.codePointAt(0) ?? 0);
		if (bytes > bytesMax) return text.slice(0, end);
		end += character.length;
	}
	return text;
}

/** Of one character between a JSON text's quotes, in a frame. */
function lineBytes(code: number): number {
	if (code < 0x20) return SHORT.includes(code) ? 2 : ESCAPED;
	if (code === 0x22 || code === 0x5c) return 2;
	if (code < 0x80) return 1;
	// Their first byte is 0xdb, which a frame escapes; its other one, 0xc0, is in no UTF-8.
	if (code >= 0x6c0 && code <= 0x6ff) return 3;
	if (code < 0x800) return 2;
	// Half of a pair that stands alone.
	if (code >= 0xd800 && code <= 0xdfff) return ESCAPED;
	return code < 0x10000 ? 3 : 4;
}

/** \b, \t, \n, \f and \r. */
const SHORT: readonly number[] = [8, 9, 10, 12, 13];
