// Colours of a style sheet, and what eyes make of them: relative luminance and contrast as WCAG 2.2
// defines them (for sRGB, from memory).

/** The custom properties that are colours in the first rule of that selector, by name. */
export function coloursOf(css: string, selector: string): Record<string, string> {
	const from = css.indexOf(`${selector} {`);
	const rule = css.slice(from, css.indexOf("}", from));
	const found = [...rule.matchAll(/--([\w-]+):\s*(#[0-9a-f]{6});/gi)];
	return Object.fromEntries(found.map(([, name, colour]) => [name, colour]));
}

/** Red, green and blue as they add up in the eye, each weighted, 0 to 1. */
function parts(colour: string): readonly [number, number, number] {
	const linear = [1, 3, 5].map((at) => {
		const value = Number.parseInt(colour.slice(at, at + 2), 16) / 255;
		return value <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4;
	});
	const [red = 0, green = 0, blue = 0] = linear;
	return [0.2126 * red, 0.7152 * green, 0.0722 * blue];
}

export const luminance = (colour: string): number =>
	parts(colour).reduce((sum, part) => sum + part, 0);

/** How much of its light is red. */
export const shareOfRed = (colour: string): number => parts(colour)[0] / luminance(colour);

/** 1 to 21. */
export function contrast(one: string, other: string): number {
	const [dark = 0, light = 0] = [luminance(one), luminance(other)].sort((a, b) => a - b);
	return (light + 0.05) / (dark + 0.05);
}
