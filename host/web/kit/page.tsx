// The frame of every page: what must come first, the way past the frame, the five pages, the
// reader's settings, then the content.

import type { ComponentChildren } from "preact";
import { offered, words } from "../words/words.ts";
import { Settings } from "./settings.tsx";

/** With its address. */
export const pages = {
	live: "/",
	bench: "/bench",
	season: "/season",
	logbook: "/logbook",
	card: "/card",
} as const;

export type PageName = keyof typeof pages;

export interface PageProps {
	readonly at: PageName;
	/** Reached before everything else by the keyboard: a stop. */
	readonly first?: ComponentChildren;
	readonly children: ComponentChildren;
}

export function Page({ at, first, children }: PageProps) {
	const { kit } = words();
	const names = Object.keys(pages) as PageName[];
	return (
		<div class={first === undefined ? "page" : "page page-with-first"}>
			{first}
			<a class="skip" href="#content">
				{kit.skip}
			</a>
			<header class="frame">
				<p class="product">{kit.product}</p>
				<nav aria-label={kit.navigation}>
					<ul class="pages">
						{names.map((name) => (
							<li key={name}>
								<a href={pages[name]} aria-current={name === at ? "page" : undefined}>
									{kit.pages[name]}
								</a>
							</li>
						))}
					</ul>
				</nav>
				<Settings languages={offered} />
			</header>
			<main id="content" tabIndex={-1}>
				{children}
			</main>
		</div>
	);
}
