// A button's question to the controller: sent, taken, refused, or without an answer, each told in
// words where it was asked.

import { useState } from "preact/hooks";
import { Notice, Told } from "../kit/notice.tsx";
import type { Answer } from "../scene.ts";
import { NotSent } from "./not-sent.ts";

export type Asked =
	| { readonly is: "not" }
	| { readonly is: "sending" }
	| { readonly is: "taken" }
	| { readonly is: "refused"; readonly reasons: readonly string[] }
	| { readonly is: "unsent" | "lost"; readonly why: string };

export function useAsking(): {
	readonly asked: Asked;
	readonly ask: (question: () => Promise<Answer>) => Promise<Asked>;
	readonly forget: () => void;
} {
	const [asked, setAsked] = useState<Asked>({ is: "not" });
	const ask = async (question: () => Promise<Answer>): Promise<Asked> => {
		setAsked({ is: "sending" });
		const came = await question().then(
			({ accepted, reasons }): Asked => (accepted ? { is: "taken" } : { is: "refused", reasons }),
			(error): Asked => ({
				is: error instanceof NotSent ? "unsent" : "lost",
				why: error instanceof Error ? error.message : "",
			}),
		);
		setAsked(came);
		return came;
	};
	return { asked, ask, forget: () => setAsked({ is: "not" }) };
}

export interface OutcomeProps {
	readonly asked: Asked;
	readonly words: {
		readonly sending?: string;
		readonly taken: string;
		readonly refused: string;
		readonly unsent: string;
		readonly lost: string;
	};
}

export function Outcome({ asked, words }: OutcomeProps) {
	return (
		<div aria-live="polite">
			{asked.is === "sending" && words.sending !== undefined && <p>{words.sending}</p>}
			{asked.is === "taken" && (
				<Notice kind="remark">
					<p>{words.taken}</p>
				</Notice>
			)}
			{asked.is === "refused" && (
				<Notice kind="caution" title={words.refused}>
					<Reasons reasons={asked.reasons} />
				</Notice>
			)}
			{(asked.is === "lost" || asked.is === "unsent") && (
				<Notice kind="alarm" title={words[asked.is]}>
					<p>
						<Told>{asked.why}</Told>
					</p>
				</Notice>
			)}
		</div>
	);
}

/** Words of the controller, a line each. */
export function Reasons({ reasons }: { readonly reasons: readonly string[] }) {
	return (
		<ul class="reasons">
			{reasons.map((reason) => (
				<li key={reason}>
					<Told>{reason}</Told>
				</li>
			))}
		</ul>
	);
}
