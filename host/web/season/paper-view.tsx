// A document on a page: its titles, words, tables and pictures with the page's own parts. The
// blocks are those of the paper, so that the two tell the same.

import { type ComponentChild, Fragment } from "preact";
import { useEffect, useId, useRef } from "preact/hooks";
import type { Block, Paper, Table as PaperTable, Picture } from "../../report/blocks.ts";
import { PICTURE_TYPE } from "../../report/blocks.ts";
import { Notice, Told } from "../kit/notice.tsx";
import { Table } from "../kit/table.tsx";

export interface PaperViewProps {
	readonly paper: Paper;
	/** What the page itself has to say stands below the title. */
	readonly afterTitle: ComponentChild;
}

export function PaperView({ paper: { blocks }, afterTitle }: PaperViewProps) {
	let heading = "";
	return (
		<article>
			{blocks.map((block, i) => {
				if (block.kind === "heading" || block.kind === "title") heading = block.text;
				// A document's parts have no names, and keep their places.
				const key = `${i} ${block.kind}`;
				return (
					<Fragment key={key}>
						{shown(block, heading)}
						{block.kind === "title" && afterTitle}
					</Fragment>
				);
			})}
		</article>
	);
}

function shown(block: Block, heading: string): ComponentChild {
	switch (block.kind) {
		case "title":
			return <h1>{block.text}</h1>;
		case "heading":
			return <h2>{block.text}</h2>;
		case "words": {
			const text = block.isTold === true ? <Told>{block.text}</Told> : block.text;
			if (block.tone === "mark") {
				return (
					<Notice kind="remark">
						<p>{text}</p>
					</Notice>
				);
			}
			return <p class={block.tone === "small" ? "hint" : undefined}>{text}</p>;
		}
		case "table":
			return tableOf(block, heading);
		case "picture":
			return <Drawing picture={block} />;
	}
}

/** A cell of so many letters keeps to one line. */
const SHORT = 20;

function tableOf({ columns, rows }: PaperTable, heading: string): ComponentChild {
	const cells = rows.map((row) =>
		row.map((cell, i) => (
			<span class={cell.length <= SHORT ? "short-cell" : "long-cell"} key={columns[i]?.head}>
				{columns[i]?.isTold === true ? <Told>{cell}</Told> : cell}
			</span>
		)),
	);
	return <Table caption={heading} columns={columns} rows={cells} hidesCaption />;
}

/** What a shade of ink on paper is in the page's own light. */
const TONES = { black: "ink", grey: "soft", pale: "line", paper: "paper" } as const;

function Drawing({ picture }: { readonly picture: Picture }) {
	const { description, width, height, paths, texts } = picture;
	const id = useId();
	const room = useRef<HTMLDivElement>(null);
	useEffect(() => {
		// What scrolls must be reached by the keyboard; what does not is no stop on the way.
		const { current } = room;
		if (current === null) return;
		if (current.scrollWidth > current.clientWidth) current.tabIndex = 0;
		else current.removeAttribute("tabindex");
	});
	return (
		<section class="drawing" ref={room} aria-labelledby={id}>
			<svg viewBox={`0 0 ${width} ${height}`} font-size={PICTURE_TYPE} role="img">
				<title id={id}>{description}</title>
				{paths.map(({ d, width: stroke, dash, isFilled, shade }) => (
					<path
						key={d}
						d={d}
						class={`${isFilled ? "fill" : "stroke"}-${TONES[shade]}`}
						stroke-width={isFilled ? undefined : stroke}
						stroke-dasharray={dash.length === 0 ? undefined : dash.join(" ")}
					/>
				))}
				{texts.map(({ words, x, y, anchor, isBold }) => (
					<text
						key={`${words} ${x} ${y}`}
						x={x}
						y={y}
						text-anchor={anchor}
						class={isBold ? "bold" : undefined}
					>
						{words}
					</text>
				))}
			</svg>
		</section>
	);
}
