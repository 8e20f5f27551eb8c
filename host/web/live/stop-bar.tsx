// The stop: always in sight, the first thing that the keyboard reaches, asks for no code and for no
// confirmation. It is never greyed out: what a page believes of the link may be wrong.

import { Button } from "../kit/button.tsx";
import { Told } from "../kit/notice.tsx";
import type { Answer } from "../scene.ts";
import { words } from "../words/words.ts";
import { type Asked, useAsking } from "./asking.tsx";

export interface StopBarProps {
	readonly stop: () => Promise<Answer>;
	/** The page has no way to the controller now, as far as it knows. */
	readonly isAway: boolean;
}

export function StopBar({ stop, isAway }: StopBarProps) {
	const { asked, ask } = useAsking();
	const { name, help, away } = words().live.stop;
	const said = saidOf(asked);
	const isBad = asked.is === "lost" || asked.is === "refused";
	return (
		<div class="stop-bar">
			<Button kind="stop" onPress={() => void ask(stop)}>
				{name}
			</Button>
			<div class="stop-said">
				<p role="status">{asked.is === "not" ? (isAway ? away : help) : isBad ? null : said}</p>
				<p role="alert" class="stop-bad">
					{isBad ? said : null}
					{asked.is === "refused" && (
						<>
							{" "}
							<Told>{asked.reasons.join("; ")}</Told>
						</>
					)}
				</p>
			</div>
		</div>
	);
}

function saidOf(asked: Asked): string {
	const { sending, taken, refused, lost } = words().live.stop;
	const texts = { not: "", sending, taken, refused, lost, unsent: lost } as const;
	return texts[asked.is];
}
