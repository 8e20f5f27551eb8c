// The photo of a note: chosen or taken, made small in the browser, shown, and left out again. The
// browser's own file input, under a label that looks like a button.

import { useState } from "preact/hooks";
import { Button } from "../kit/button.tsx";
import { numeral } from "../units.ts";
import { words } from "../words/words.ts";
import { logbookWords } from "./logbook-words.ts";
import { smallPhoto } from "./small-photo.ts";

export interface PhotoFieldProps {
	readonly photo: string | null;
	readonly onPick: (photo: string | null) => void;
}

/** Bytes behind a data address in base64: three for four letters. */
const kilobytesOf = (address: string): string => numeral((0.75 * address.length) / 1000, 0);

export function PhotoField({ photo, onPick }: PhotoFieldProps) {
	const logbook = logbookWords();
	const { kit } = words();
	const [isUnread, setUnread] = useState(false);
	const take = async (file: Blob | undefined) => {
		if (file === undefined) return;
		const small = await smallPhoto(file);
		setUnread(small === null);
		if (small !== null) onPick(small);
	};
	return (
		<div class={isUnread ? "field field-wrong" : "field"}>
			<p class="photo-head">
				<strong>{logbook.fields.photo}</strong> <span class="aside">({kit.optional})</span>
			</p>
			<p class="hint" id="photo-hint">
				{logbook.hints.photo}
			</p>
			<label class="button photo-pick">
				{logbook.photoTake}
				<input
					class="unseen"
					type="file"
					name="photo"
					accept="image/jpeg,image/png,image/webp"
					aria-describedby="photo-hint"
					onChange={(event) => {
						void take(event.currentTarget.files?.[0]);
						// The same file may be chosen again.
						event.currentTarget.value = "";
					}}
				/>
			</label>
			<div aria-live="polite">
				{isUnread && (
					<p class="wrong">
						<span aria-hidden="true">▲ </span>
						{logbook.photoUnread}
					</p>
				)}
				{photo !== null && <p>{logbook.photoReady(logbook.kilobytes(kilobytesOf(photo)))}</p>}
			</div>
			{photo !== null && (
				<div class="row">
					<img class="photo-small" src={photo} alt={logbook.photoChosen} />
					<Button kind="quiet" onPress={() => onPick(null)}>
						{logbook.photoRemove}
					</Button>
				</div>
			)}
		</div>
	);
}
