// How far something has come, as a bar that says it in words too: for who sees it, and for who
// hears it.

export interface BarProps {
	readonly label: string;
	/** 0 to 1; more is shown as full. */
	readonly share: number;
	/** As `12 L of 45 L`. */
	readonly text: string;
}

export function Bar({ label, share, text }: BarProps) {
	const done = Math.min(1, Math.max(0, share));
	return (
		<div class="bar">
			<p class="bar-text">
				<span>{label}</span> <strong>{text}</strong>
			</p>
			<div
				class="bar-line"
				role="progressbar"
				aria-label={label}
				aria-valuemin={0}
				aria-valuemax={100}
				aria-valuenow={Math.floor(100 * done)}
				aria-valuetext={text}
			>
				<div class="bar-done" style={{ width: `${100 * done}%` }} />
			</div>
		</div>
	);
}
