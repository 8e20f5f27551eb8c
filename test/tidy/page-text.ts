// Takes a Markdown page apart for the tests that walk it: fenced commands, inline code, links, the
// places that links lead to, and what a hand wrote between the generated sections. Pure.

/** Fences, also those within a list. */
const FENCE = /^[ \t]*```(\S*)[ \t]*\n([\s\S]*?)^[ \t]*```[ \t]*$/gm;
const SECTION = /<!-- ([a-z-]+) -->\n[\s\S]*?<!-- \/\1 -->/g;
const COMMAND_LANGUAGES = ["sh", "bash", "console"];

/** The page without its fences. */
export function proseOf(text: string): string {
	return text.replaceAll(FENCE, "");
}

/** What a hand wrote: nothing of a page or section that `npm run docs` makes. */
export function handWritten(text: string): string {
	const isMade = /^(<!-- )?Made (from .* )?by `npm run docs`/m.test(text);
	return isMade ? "" : proseOf(text).replaceAll(SECTION, "");
}

/** Each command of the fences for a shell, one a line, without its comment. */
export function commandsOf(text: string): string[] {
	const blocks = [...text.matchAll(FENCE)].filter(([, language = ""]) =>
		COMMAND_LANGUAGES.includes(language),
	);
	return blocks.flatMap(([, , block = ""]) =>
		block
			.replaceAll(/\\\n\s*/g, " ")
			.split("\n")
			.flatMap((line) => line.replace(/(^|\s)#.*$/, "").split(/&&|\|/))
			.map((line) => line.trim().replaceAll(/\s+/g, " "))
			.filter((line) => line !== ""),
	);
}

export function inlineCode(text: string): string[] {
	return [...proseOf(text).matchAll(/`([^`\n]+)`/g)].map(([, code = ""]) => code);
}

/** Where links lead that are not to another site. */
export function linksOf(text: string): string[] {
	return [...proseOf(text).matchAll(/\]\((?!https?:)([^)\s]+)\)/g)].map(([, to = ""]) => to);
}

/** The names by which a page's headings are linked, as hosts of repositories make them. */
export function headingsOf(text: string): string[] {
	return [...proseOf(text).matchAll(/^#{1,6} (.+)$/gm)].map(([, heading = ""]) =>
		heading
			.toLowerCase()
			.replaceAll(/[^\p{L}\p{N} _-]/gu, "")
			.replaceAll(" ", "-"),
	);
}
