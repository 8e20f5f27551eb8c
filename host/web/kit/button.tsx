// A button: large enough for a cold finger, and never greyed out of reach of the keyboard. One that
// is busy takes no second press.

import type { ComponentChildren, Ref } from "preact";

export interface ButtonProps {
	readonly children: ComponentChildren;
	readonly onPress?: () => void;
	/** `main` is the one that the form is for; `quiet` does nothing that matters. */
	readonly kind?: "main" | "plain" | "quiet" | "stop";
	readonly submits?: boolean;
	/** It has been pressed and the answer is not there yet. */
	readonly isBusy?: boolean;
	/** Where its text alone does not say what it acts on. */
	readonly label?: string;
	readonly describedBy?: string;
	readonly isPressed?: boolean;
	readonly buttonRef?: Ref<HTMLButtonElement>;
}

export function Button(props: ButtonProps) {
	const { children, onPress, kind = "plain", submits = false, isBusy = false } = props;
	const { label, describedBy, isPressed, buttonRef } = props;
	return (
		<button
			type={submits ? "submit" : "button"}
			class={`button button-${kind}`}
			onClick={(event) => {
				// A form is sent once, however often the button is pressed.
				if (isBusy) event.preventDefault();
				else onPress?.();
			}}
			aria-disabled={isBusy ? true : undefined}
			aria-label={label}
			aria-describedby={describedBy}
			aria-pressed={isPressed}
			ref={buttonRef ?? null}
		>
			{children}
		</button>
	);
}
