// A passage that is set apart: a caution, an alarm, a remark, and what somebody else has said.
// Each begins with a word and a mark, so that colour only repeats it.

import type { ComponentChildren } from "preact";
import { words } from "../words/words.ts";

export interface NoticeProps {
	readonly kind: "caution" | "alarm" | "remark";
	readonly title?: string;
	readonly children: ComponentChildren;
	/** Read out at once, cutting short what is being read. */
	readonly isUrgent?: boolean;
}

const marks = { caution: "△", alarm: "▲", remark: "○" } as const;

export function Notice({ kind, title, children, isUrgent = false }: NoticeProps) {
	const { caution, alarm } = words().kit;
	const head = title ?? (kind === "caution" ? caution : kind === "alarm" ? alarm : null);
	return (
		<div class={`notice notice-${kind}`} role={isUrgent ? "alert" : undefined}>
			<span class="notice-mark" aria-hidden="true">
				{marks[kind]}
			</span>
			<div>
				{head !== null && <p class="notice-title">{head}</p>}
				{children}
			</div>
		</div>
	);
}

/** Words of the controller, of a file or of a person, as they are: no catalogue has them. */
export function Told({ children }: { readonly children: ComponentChildren }) {
	return (
		<span lang="en" data-told="">
			{children}
		</span>
	);
}
