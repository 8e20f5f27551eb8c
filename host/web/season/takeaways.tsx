// The report to take away, in the units and on the paper that the reader has chosen, and asking
// for the answer anew.

import { Button } from "../kit/button.tsx";
import type { Taste } from "../units.ts";
import { seasonWords } from "./season-words.ts";

/** Sizes of paper, by the names that they have in every language. */
const PAPERS = ["A4", "Letter"] as const;

export interface TakeawaysProps {
	readonly rig: string;
	readonly taste: Taste;
	readonly onAgain: () => void;
}

export function Takeaways({ rig, taste: { volume, pressure }, onAgain }: TakeawaysProps) {
	const season = seasonWords();
	const link = (file: string, paper: string) =>
		`/report.${file}?${new URLSearchParams({ rig, paper, volume, pressure })}`;
	return (
		<nav class="row takeaways" aria-label={season.takeaways}>
			{PAPERS.map((paper) => (
				<a key={paper} href={link("pdf", paper)}>
					{season.pdf(paper)}
				</a>
			))}
			<a href={link("html", volume === "gallons" ? "Letter" : "A4")}>{season.html}</a>
			<Button kind="quiet" onPress={onAgain}>
				{season.again}
			</Button>
		</nav>
	);
}
