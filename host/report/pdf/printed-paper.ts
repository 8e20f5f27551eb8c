// A document as PDF: tagged, with real tables whose heads stand on each page again, headings that
// stay with what follows, and page numbers. Made by pdfkit; the structure is that of PDF 32000-1,
// 14.8. Imports the blocks and the type.

import PDFDocument from "pdfkit";
import type { Block, Paper, PaperSize, PathShape, Picture, Table, TextShape } from "../blocks.ts";
import { PICTURE_TYPE } from "../blocks.ts";
import { columnWidths } from "./table-layout.ts";
import { type Face, TypeCase } from "./type-case.ts";

declare global {
	namespace PDFKit.Mixins {
		/** What pdfkit takes beyond its published types. */
		interface StructureElementOptions {
			/** Of a table's head cell. */
			scope?: "Row" | "Column";
			/** Left, top, right and bottom of a picture, from the page's top left. */
			bbox?: [number, number, number, number];
		}
	}
}

type Element = PDFKit.PDFStructureElement;

export interface PrintOptions {
	readonly size: PaperSize;
	/** When it was made out: the same answer gives the same bytes. */
	readonly atUtcMs: number;
	readonly pageOf: (page: number, pages: number) => string;
	/** Said where the type lacks a letter that was written. */
	readonly shortOfType: string;
}

const MARGIN = 38;
const FOOT = 20;
const TITLE: Face = { size: 16, isBold: true };
const HEADING: Face = { size: 10.5, isBold: true };
const PLAIN: Face = { size: 8.5, isBold: false };
const MARKED: Face = { size: 8.5, isBold: true };
const SMALL: Face = { size: 7.5, isBold: false };
const CELL: Face = { size: 7.8, isBold: false };
const HEAD: Face = { size: 7.8, isBold: true };
const FACES = { plain: PLAIN, mark: MARKED, small: SMALL } as const;
const LEADING = 1.18;
const PADDING = 7;
const CELL_GAP = 1.5;
const SHADES = { black: "#000000", grey: "#595959", pale: "#c8c8c8", paper: "#ffffff" } as const;

export function printPaper(paper: Paper, options: PrintOptions): Promise<Buffer> {
	return new Press(paper, options).print();
}

class Press {
	private readonly paper: Paper;
	private readonly options: PrintOptions;
	private readonly doc: PDFKit.PDFDocument;
	private readonly type: TypeCase;
	private readonly root: Element;
	private readonly done: Promise<Buffer>;
	private y = MARGIN;

	constructor(paper: Paper, options: PrintOptions) {
		this.paper = paper;
		this.options = options;
		const made = new Date(options.atUtcMs);
		this.doc = new PDFDocument({
			size: options.size === "A4" ? "A4" : "LETTER",
			margin: 0,
			bufferPages: true,
			tagged: true,
			lang: paper.lang,
			displayTitle: true,
			pdfVersion: "1.7",
			info: { Title: paper.title, Creator: "Lees", CreationDate: made, ModDate: made },
		});
		this.type = new TypeCase(this.doc);
		this.done = collect(this.doc);
		this.root = this.doc.struct("Document");
		this.doc.addStructure(this.root);
	}

	print(): Promise<Buffer> {
		const { blocks } = this.paper;
		blocks.forEach((block, i) => {
			this.put(block, blocks.slice(i + 1));
		});
		if (this.type.isShort) {
			this.words(this.options.shortOfType, SMALL, "P", 3);
		}
		this.root.end();
		this.feet();
		this.doc.end();
		return this.done;
	}

	private get room(): number {
		return this.doc.page.width - 2 * MARGIN;
	}

	private get bottom(): number {
		return this.doc.page.height - MARGIN - FOOT / 2;
	}

	private put(block: Block, next: readonly Block[]): void {
		switch (block.kind) {
			case "title":
				this.words(block.text, TITLE, "H1", 0);
				return;
			case "heading":
				this.need(HEADING.size * LEADING + 8 + this.leastOf(next));
				this.words(block.text, HEADING, "H2", 8);
				return;
			case "words":
				this.words(block.text, FACES[block.tone], "P", block.tone === "small" ? 1.5 : 3);
				return;
			case "table":
				this.table(block);
				return;
			case "picture":
				this.picture(block);
				return;
		}
	}

	/** What of the next blocks stays with its heading: the words down to a picture, and that. */
	private leastOf(next: readonly Block[]): number {
		const past = next.findIndex(({ kind }) => kind !== "words");
		const picture = next[past];
		if (picture?.kind !== "picture") return 5 * CELL.size * LEADING;
		return next
			.slice(0, past)
			.reduce((sum, block) => sum + this.heightOf(block), picture.height + 6);
	}

	private heightOf(block: Block): number {
		if (block.kind !== "words") return 0;
		const face = FACES[block.tone];
		return 3 + this.type.lines(block.text, this.room, face).length * face.size * LEADING;
	}

	/** A new page where less than that is left. */
	private need(height: number): void {
		if (this.y + height <= this.bottom) return;
		this.doc.addPage();
		this.y = MARGIN;
	}

	private words(text: string, face: Face, tag: string, above: number): void {
		const leading = face.size * LEADING;
		this.y += above;
		let element: Element | null = null;
		for (const line of this.type.lines(text, this.room, face)) {
			this.need(leading);
			const { y } = this;
			const put = () => this.type.draw(line, MARGIN, y, face);
			if (element === null) {
				element = this.doc.struct(tag);
				this.root.add(element);
			}
			element.add(put);
			this.y += leading;
		}
		element?.end();
	}

	private table(table: Table): void {
		const widths = columnWidths(table, this.room, PADDING, (text, isHead) =>
			this.type.width(this.type.printable(text), isHead ? HEAD : CELL),
		);
		this.y += 3;
		const element = this.doc.struct("Table");
		this.root.add(element);
		const heads = table.columns.map(({ head }) => head);
		const head = this.broken(heads, widths, HEAD);
		this.need(heightOf(head, HEAD) + 2 * CELL.size * LEADING);
		this.row(element, table, head, widths, "head");
		for (const cells of table.rows) {
			let rest = this.broken(cells, widths, CELL);
			const full = this.bottom - MARGIN - heightOf(head, HEAD);
			const isLong = heightOf(rest, CELL) > full;
			const row = this.doc.struct("TR");
			element.add(row);
			const kept = cells.map((_, i) => {
				const cell = i === 0 ? this.doc.struct("TH", { scope: "Row" }) : this.doc.struct("TD");
				row.add(cell);
				return cell;
			});
			while (rest.some((lines) => lines.length > 0)) {
				const height = heightOf(rest, CELL);
				if (this.y + (isLong ? 3 * CELL.size * LEADING : height) > this.bottom) {
					this.doc.addPage();
					this.y = MARGIN;
					this.row(null, table, head, widths, "head");
				}
				const fits = Math.floor((this.bottom - this.y - 2 * CELL_GAP) / (CELL.size * LEADING));
				this.cells(
					kept,
					table,
					rest.map((lines) => lines.slice(0, fits)),
					widths,
					CELL,
				);
				rest = rest.map((lines) => lines.slice(fits));
			}
			row.end();
		}
		element.end();
		this.y += 2;
	}

	private broken(cells: readonly string[], widths: readonly number[], face: Face): string[][] {
		return cells.map((cell, i) =>
			cell === "" ? [""] : this.type.lines(cell, (widths[i] ?? 0) - PADDING + 0.01, face),
		);
	}

	/** The head; one that is repeated is no part of the structure. @param element null: repeated */
	private row(
		element: Element | null,
		table: Table,
		lines: string[][],
		widths: readonly number[],
		_: "head",
	): void {
		if (element === null) {
			this.doc.markContent("Artifact", { type: "Pagination" });
			this.cells(null, table, lines, widths, HEAD);
			this.doc.endMarkedContent();
		} else {
			const row = this.doc.struct("TR");
			element.add(row);
			const kept = lines.map(() => {
				const cell = this.doc.struct("TH", { scope: "Column" });
				row.add(cell);
				return cell;
			});
			this.cells(kept, table, lines, widths, HEAD);
			row.end();
		}
		this.rule(this.y, 0.8, SHADES.black);
	}

	private cells(
		kept: readonly Element[] | null,
		{ columns }: Table,
		lines: readonly string[][],
		widths: readonly number[],
		face: Face,
	): void {
		// A line of type has its room below the letters: half of it goes above.
		const top = this.y + CELL_GAP + (0.5 * LEADING - 0.4) * face.size;
		let x = MARGIN;
		lines.forEach((own, i) => {
			const width = widths[i] ?? 0;
			const isNumber = columns[i]?.isNumber === true;
			const left = x;
			const put = () =>
				own.forEach((line, row) => {
					const right = left + width - PADDING - this.type.width(line, face);
					this.type.draw(line, isNumber ? right : left, top + row * face.size * LEADING, face);
				});
			const cell = kept?.[i];
			if (cell === undefined) put();
			else cell.add(put);
			x += width;
		});
		this.y += heightOf(lines, face);
		if (face === CELL) this.rule(this.y, 0.3, SHADES.pale);
	}

	private rule(y: number, width: number, colour: string): void {
		this.doc.markContent("Artifact", { type: "Layout" });
		this.doc
			.moveTo(MARGIN, y)
			.lineTo(MARGIN + this.room, y)
			.lineWidth(width)
			.stroke(colour);
		this.doc.endMarkedContent();
	}

	private picture(picture: Picture): void {
		const scale = Math.min(1, this.room / picture.width);
		const height = scale * picture.height;
		this.y += 4;
		this.need(height);
		const [left, top] = [MARGIN, this.y];
		const box: [number, number, number, number] = [
			left,
			top,
			left + scale * picture.width,
			top + height,
		];
		const put = () => {
			this.doc.save().translate(left, top).scale(scale);
			for (const path of picture.paths) this.path(path);
			this.doc.restore();
			for (const text of picture.texts) this.pictureText(text, left, top, scale);
		};
		const options = { alt: this.type.printable(picture.description), bbox: box };
		const element = this.doc.struct("Figure", options, put);
		this.root.add(element);
		element.end();
		this.y += height + 2;
	}

	private path({ d, width, dash, isFilled, shade }: PathShape): void {
		const { doc } = this;
		doc.path(d).lineWidth(width).lineCap("butt");
		if (dash.length > 0) doc.dash(dash[0] ?? 1, { space: dash[1] ?? 1 });
		else doc.undash();
		if (isFilled) doc.fill(SHADES[shade]);
		else doc.stroke(SHADES[shade]);
	}

	private pictureText(text: TextShape, left: number, top: number, scale: number): void {
		const face = { size: PICTURE_TYPE * scale, isBold: text.isBold };
		const words = this.type.printable(text.words);
		const share = { start: 0, middle: 0.5, end: 1 }[text.anchor];
		const x = left + scale * text.x - share * this.type.width(words, face);
		this.doc.fillColor(SHADES.black);
		// Where the letters stand is so far under the line's top (Helvetica's ascender).
		this.type.draw(words, x, top + scale * text.y - 0.718 * face.size, face);
	}

	private feet(): void {
		const { start, count } = this.doc.bufferedPageRange();
		for (let page = 0; page < count; page += 1) {
			this.doc.switchToPage(start + page);
			const number = this.options.pageOf(page + 1, count);
			const y = this.doc.page.height - MARGIN;
			this.doc.markContent("Artifact", { type: "Pagination" });
			const right = MARGIN + this.room - this.type.width(number, SMALL);
			const foot = this.type.lines(this.paper.foot, right - 2 * MARGIN, SMALL)[0] ?? "";
			this.type.draw(foot, MARGIN, y, SMALL);
			this.type.draw(number, right, y, SMALL);
			this.doc.endMarkedContent();
		}
	}
}

const heightOf = (lines: readonly string[][], { size }: Face): number =>
	Math.max(0, ...lines.map(({ length }) => length)) * size * LEADING + 2 * CELL_GAP;

function collect(doc: PDFKit.PDFDocument): Promise<Buffer> {
	const chunks: Buffer[] = [];
	return new Promise((resolve, reject) => {
		doc.on("data", (chunk: Buffer) => chunks.push(chunk));
		doc.on("error", reject);
		doc.on("end", () => resolve(Buffer.concat(chunks)));
	});
}
