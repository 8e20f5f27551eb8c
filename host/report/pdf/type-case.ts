// Type of a PDF: the standard fonts that every reader has, which know the letters of Windows-1252
// (PDF 32000-1, annex D.2) and no others. A letter with a mark that they lack is printed without
// it, any other as a question mark, and it is remembered that something was. Breaks lines.

import type PDFDocument from "pdfkit";

/** Those of Windows-1252 that lie outside Latin-1. */
const MORE = "€‚ƒ„…†‡ˆ‰Š‹ŒŽ‘’“”•–—˜™š›œžŸ";
/** Written in letters that are there. */
const SPELT: Readonly<Record<string, string>> = {
	Ł: "L",
	ł: "l",
	Đ: "D",
	đ: "d",
	ı: "i",
	ħ: "h",
	ŧ: "t",
	"−": "-",
	"≤": "<=",
	"≥": ">=",
	μ: "µ",
};

export interface Face {
	readonly size: number;
	readonly isBold: boolean;
}

export class TypeCase {
	/** Some letter could not be printed as it was written. */
	isShort = false;
	private readonly doc: typeof PDFDocument.prototype;

	constructor(doc: typeof PDFDocument.prototype) {
		this.doc = doc;
	}

	/** In letters that the type has. */
	printable(text: string): string {
		let printed = "";
		for (const letter of text.normalize("NFC")) printed += this.letter(letter);
		return printed;
	}

	private letter(letter: string): string {
		if (hasType(letter)) return letter;
		if (/\s/u.test(letter)) return " ";
		this.isShort = true;
		const bare = SPELT[letter] ?? letter.normalize("NFKD").replaceAll(/\p{M}/gu, "");
		return [...bare].every(hasType) && bare !== "" ? bare : "?";
	}

	width(text: string, { size, isBold }: Face): number {
		return this.doc
			.font(isBold ? "Helvetica-Bold" : "Helvetica")
			.fontSize(size)
			.widthOfString(text);
	}

	/** Lines no wider than `width`; a longer word is broken. */
	lines(text: string, width: number, face: Face): string[] {
		const lines: string[] = [];
		let line = "";
		for (const word of this.printable(text).split(/ +/)) {
			const longer = line === "" ? word : `${line} ${word}`;
			if (this.width(longer, face) <= width) {
				line = longer;
				continue;
			}
			if (line !== "") lines.push(line);
			const pieces = this.pieces(word, width, face);
			lines.push(...pieces.slice(0, -1));
			line = pieces.at(-1) ?? "";
		}
		return [...lines, line];
	}

	private pieces(word: string, width: number, face: Face): string[] {
		const pieces: string[] = [];
		let piece = "";
		for (const letter of word) {
			if (piece !== "" && this.width(piece + letter, face) > width) {
				pieces.push(piece);
				piece = "";
			}
			piece += letter;
		}
		return [...pieces, piece];
	}

	/** @param y of the top of the line */
	draw(text: string, x: number, y: number, face: Face): void {
		if (text === "") return;
		this.doc
			.font(face.isBold ? "Helvetica-Bold" : "Helvetica")
			.fontSize(face.size)
			.text(text, x, y, { lineBreak: false });
	}
}

function hasType(letter: string): boolean {
	const code = letter.codePointAt(0) ?? 0;
	return (code >= 0x20 && code <= 0x7e) || (code >= 0xa0 && code <= 0xff) || MORE.includes(letter);
}
