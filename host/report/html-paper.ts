// A document as one HTML file that needs no other: its style is in it, pictures are SVG in its
// text, and it asks no address. On paper it is A4 or Letter with page numbers where the browser
// knows margin boxes (CSS Paged Media 3). Pure; imports the blocks.

import type { Block, Paper, PaperSize, PathShape, Picture, Table, TextShape } from "./blocks.ts";
import { PICTURE_TYPE } from "./blocks.ts";
import { escaped } from "./svg.ts";

const SHADES = { black: "#000", grey: "#595959", pale: "#c8c8c8", paper: "#fff" } as const;

/** What stands between `<style>` and `</style>`: who serves the file allows it by its hash. */
export const paperStyle = (size: PaperSize): string => `
@page {
	size: ${size};
	margin: 12mm 13mm 14mm;
	@bottom-right { content: counter(page) " of " counter(pages); font: 7.5pt sans-serif; }
}
:root { color-scheme: light; }
body { margin: 0 auto; max-width: 190mm; padding: 4mm; font: 8.5pt/1.2 Helvetica, Arial,
	"Liberation Sans", sans-serif; color: #000; background: #fff; }
h1 { font-size: 16pt; margin: 0; }
h2 { font-size: 10.5pt; margin: 2.4mm 0 0.8mm; break-after: avoid; }
p { margin: 0.7mm 0; }
.mark { font-weight: bold; }
.small { font-size: 7.5pt; }
.wide { overflow-x: auto; }
table { border-collapse: collapse; width: 100%; font-size: 7.8pt; }
thead { display: table-header-group; }
tr { break-inside: avoid; }
th, td { text-align: start; vertical-align: top; padding: 0.4mm 2.4mm 0.4mm 0;
	border-bottom: 0.3pt solid #c8c8c8; overflow-wrap: anywhere; }
td { min-width: 6em; }
tbody th { min-width: 8em; }
.short { white-space: nowrap; min-width: 0; }
tbody th { font-weight: normal; }
thead th { overflow-wrap: normal; border-bottom: 0.8pt solid #000; vertical-align: bottom; }
th.number, td.number { text-align: end; font-variant-numeric: tabular-nums; }
svg { display: block; width: 100%; min-width: 140mm; max-width: 180mm; height: auto;
	break-inside: avoid; margin: 1mm 0; }
footer { margin-top: 3mm; font-size: 7.5pt; }
@media print {
	body { max-width: none; padding: 0; }
	.wide { overflow: visible; }
	td, tbody th { min-width: 0; }
}
`;

export function htmlPaper({ lang, title, foot, blocks }: Paper, size: PaperSize): string {
	return [
		"<!doctype html>",
		`<html lang="${escaped(lang)}">`,
		"<head>",
		'<meta charset="utf-8">',
		'<meta name="viewport" content="width=device-width, initial-scale=1">',
		`<title>${escaped(title)}</title>`,
		`<style>${paperStyle(size)}</style>`,
		"</head>",
		"<body>",
		"<main>",
		...blocks.map((block, i) => blockHtml(block, i, blocks)),
		"</main>",
		`<footer>${escaped(foot)}</footer>`,
		"</body>",
		"</html>",
		"",
	].join("\n");
}

function blockHtml(block: Block, i: number, blocks: readonly Block[]): string {
	switch (block.kind) {
		case "title":
			return `<h1>${escaped(block.text)}</h1>`;
		case "heading":
			return `<h2 id="part-${i}">${escaped(block.text)}</h2>`;
		case "words":
			return `<p class="${block.tone}">${escaped(block.text)}</p>`;
		case "table":
			return roomFor(tableHtml(block), i, blocks);
		case "picture":
			return roomFor(pictureHtml(block), i, blocks);
	}
}

/** What may be wider than a phone scrolls by itself, by keyboard too, named by its heading. */
function roomFor(html: string, at: number, blocks: readonly Block[]): string {
	const heading = blocks.findLastIndex(({ kind }, i) => i < at && kind === "heading");
	const name = heading < 0 ? "" : ` aria-labelledby="part-${heading}"`;
	return `<div class="wide" role="group" tabindex="0"${name}>\n${html}\n</div>`;
}

/** A cell of so many letters keeps to one line. */
const SHORT = 20;

function tableHtml({ columns, rows }: Table): string {
	const style = (i: number, cell = "") => {
		const names = [
			...(columns[i]?.isNumber === true ? ["number"] : []),
			...(cell !== "" && cell.length <= SHORT ? ["short"] : []),
		];
		return names.length === 0 ? "" : ` class="${names.join(" ")}"`;
	};
	const heads = columns.map(({ head }, i) => `<th scope="col"${style(i)}>${escaped(head)}</th>`);
	const bodies = rows.map((row) => {
		const cells = row.map((cell, i) =>
			i === 0
				? `<th scope="row"${style(i, cell)}>${escaped(cell)}</th>`
				: `<td${style(i, cell)}>${escaped(cell)}</td>`,
		);
		return `<tr>${cells.join("")}</tr>`;
	});
	return [
		"<table>",
		`<thead><tr>${heads.join("")}</tr></thead>`,
		"<tbody>",
		...bodies,
		"</tbody></table>",
	].join("\n");
}

function pictureHtml({ description, width, height, paths, texts }: Picture): string {
	return [
		`<svg role="img" aria-label="${escaped(description)}" viewBox="0 0 ${width} ${height}" ` +
			`font-family="Helvetica, Arial, sans-serif" font-size="${PICTURE_TYPE}">`,
		...paths.map(pathHtml),
		...texts.map(textHtml),
		"</svg>",
	].join("\n");
}

function pathHtml({ d, width, dash, isFilled, shade }: PathShape): string {
	const colour = SHADES[shade];
	if (isFilled) return `<path d="${d}" fill="${colour}"/>`;
	const dashes = dash.length === 0 ? "" : ` stroke-dasharray="${dash.join(" ")}"`;
	return `<path d="${d}" fill="none" stroke="${colour}" stroke-width="${width}"${dashes}/>`;
}

function textHtml({ words, x, y, anchor, isBold }: TextShape): string {
	const weight = isBold ? ' font-weight="bold"' : "";
	const place = `x="${Number(x.toFixed(2))}" y="${Number(y.toFixed(2))}" text-anchor="${anchor}"`;
	return `<text ${place}${weight}>${escaped(words)}</text>`;
}
