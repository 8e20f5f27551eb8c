// A dialog above the page. It is the browser's own: focus stays in it, Escape closes it, and focus
// goes back to where it came from. What must stay in reach while it is open is put into its foot.

import type { ComponentChildren } from "preact";
import { useEffect, useId, useRef } from "preact/hooks";

export interface DialogProps {
	readonly title: string;
	readonly isOpen: boolean;
	readonly onClose: () => void;
	readonly children: ComponentChildren;
	readonly foot?: ComponentChildren;
}

export function Dialog({ title, isOpen, onClose, children, foot }: DialogProps) {
	const ref = useRef<HTMLDialogElement>(null);
	const id = useId();
	useEffect(() => {
		const dialog = ref.current;
		if (dialog === null || dialog.open === isOpen) return;
		if (isOpen) dialog.showModal();
		else dialog.close();
	}, [isOpen]);
	return (
		<dialog ref={ref} class="dialog" aria-labelledby={id} onClose={onClose} onCancel={onClose}>
			{isOpen && (
				<>
					<h2 id={id}>{title}</h2>
					{children}
					{foot !== undefined && <div class="dialog-foot">{foot}</div>}
				</>
			)}
		</dialog>
	);
}
