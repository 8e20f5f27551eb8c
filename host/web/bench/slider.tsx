// A slider with its value in words beside it. What it stands for is set when it is let go, so that
// one move is one deed.

import { useEffect, useId, useState } from "preact/hooks";

export interface SliderProps {
	readonly label: string;
	readonly min: number;
	readonly max: number;
	readonly step: number;
	readonly value: number;
	/** Value and unit, for eyes and for a screen reader. */
	readonly text: (value: number) => string;
	readonly onSet: (value: number) => void;
}

export function Slider({ label, min, max, step, value, text, onSet }: SliderProps) {
	const id = useId();
	/** Where it is being drawn to; null while nobody holds it. */
	const [held, setHeld] = useState<number | null>(null);
	// What was set shows until the world has followed.
	useEffect(() => setHeld(null), [value]);
	const shown = held ?? value;
	return (
		<div class="field slider">
			<label for={id}>
				{label} <strong>{text(shown)}</strong>
			</label>
			<input
				id={id}
				type="range"
				min={min}
				max={max}
				step={step}
				value={shown}
				aria-valuetext={text(shown)}
				onInput={(event) => setHeld(event.currentTarget.valueAsNumber)}
				onChange={(event) => onSet(event.currentTarget.valueAsNumber)}
			/>
		</div>
	);
}
