// A table with its caption and heads. A wide one scrolls by itself, by keyboard too, and the page
// does not.

import type { ComponentChildren } from "preact";
import { useEffect, useRef } from "preact/hooks";
import { words } from "../words/words.ts";

export interface TableProps {
	readonly caption: string;
	/** `isNumber`: set to the right, under its unit. */
	readonly columns: ReadonlyArray<{ readonly head: string; readonly isNumber?: boolean }>;
	/** The first cell of a row names it. */
	readonly rows: ReadonlyArray<readonly ComponentChildren[]>;
	readonly hidesCaption?: boolean;
}

export function Table({ caption, columns, rows, hidesCaption = false }: TableProps) {
	const room = useRef<HTMLElement>(null);
	useEffect(() => {
		// What scrolls must be reached by the keyboard; what does not is no stop on the way.
		const { current } = room;
		if (current === null) return;
		if (current.scrollWidth > current.clientWidth) {
			current.tabIndex = 0;
			current.setAttribute("aria-label", words().kit.tableOf(caption));
		} else {
			current.removeAttribute("tabindex");
			current.removeAttribute("aria-label");
		}
	});
	if (rows.length === 0) {
		return (
			<p class="hint">
				{caption}: {words().kit.nothing}
			</p>
		);
	}
	// Rows have no names of their own.
	const keyed = rows.map((cells, r) => [String(r), cells] as const);
	const cellClass = (i: number) => (columns[i]?.isNumber === true ? "number" : undefined);
	return (
		<section class="table-room" ref={room}>
			<table>
				<caption class={hidesCaption ? "unseen" : undefined}>{caption}</caption>
				<thead>
					<tr>
						{columns.map(({ head }, i) => (
							<th key={head} scope="col" class={cellClass(i)}>
								{head}
							</th>
						))}
					</tr>
				</thead>
				<tbody>
					{keyed.map(([key, cells]) => (
						<tr key={key}>
							{cells.map((cell, i) =>
								i === 0 ? (
									<th key={columns[i]?.head} scope="row" class={cellClass(i)}>
										{cell}
									</th>
								) : (
									<td key={columns[i]?.head} class={cellClass(i)}>
										{cell}
									</td>
								),
							)}
						</tr>
					))}
				</tbody>
			</table>
		</section>
	);
}
