// Pairing: who wants to order types in the code that the controller shows where it stands. The
// dialog keeps the stop within reach.

import { useState } from "preact/hooks";
import { Button } from "../kit/button.tsx";
import { Dialog } from "../kit/dialog.tsx";
import { Field } from "../kit/field.tsx";
import { Notice, Told } from "../kit/notice.tsx";
import type { Deeds, Session } from "../scene.ts";
import { span } from "../units.ts";
import { words } from "../words/words.ts";
import { StopBar } from "./stop-bar.tsx";

export interface PairingProps {
	readonly deeds: Deeds;
	readonly isOpen: boolean;
	readonly onClose: () => void;
	readonly onPaired: () => void;
}

type Shown = { readonly isShown: boolean; readonly waitSeconds: number };

export function Pairing({ deeds, isOpen, onClose, onPaired }: PairingProps) {
	const { pair: said } = words().live;
	return (
		<Dialog
			title={said.heading}
			isOpen={isOpen}
			onClose={onClose}
			foot={<StopBar stop={deeds.stop} isAway={false} />}
		>
			<CodeForm deeds={deeds} onClose={onClose} onPaired={onPaired} />
		</Dialog>
	);
}

function CodeForm({ deeds, onClose, onPaired }: Omit<PairingProps, "isOpen">) {
	const { live, kit } = words();
	const { pair: said } = live;
	const [code, setCode] = useState("");
	const [error, setError] = useState<string | undefined>(undefined);
	const [shown, setShown] = useState<Shown | null>(null);
	const [lost, setLost] = useState<string | null>(null);
	const [isBusy, setBusy] = useState(false);
	const during = async (work: () => Promise<void>) => {
		setBusy(true);
		setLost(null);
		await work().catch((why) => setLost(why instanceof Error ? why.message : ""));
		setBusy(false);
	};
	const show = () => during(async () => setShown((await deeds.showCode?.()) ?? null));
	const pair = () =>
		during(async () => {
			const digits = code.replaceAll(/\s/g, "");
			if (!/^\d{6}$/.test(digits)) {
				setError(said.sixDigits);
				return;
			}
			const left = await deeds.pair?.(digits);
			if (left === null) onPaired();
			else setError((left ?? 0) > 0 ? said.wrong(String(left)) : said.used);
		});
	return (
		<form
			onSubmit={(event) => {
				event.preventDefault();
				void pair();
			}}
		>
			<p>{said.why}</p>
			<Button onPress={() => void show()} isBusy={isBusy}>
				{said.show}
			</Button>
			<div aria-live="polite">
				{shown?.isShown === true && <p>{said.shown}</p>}
				{shown?.isShown === false && (
					<p>
						{said.notShown} {said.wait(span(shown.waitSeconds * 1000))}
					</p>
				)}
			</div>
			<Field
				label={said.code}
				kind="code"
				value={code}
				error={error}
				onType={(value) => {
					setCode(value);
					setError(undefined);
				}}
			/>
			<div aria-live="polite">
				{lost !== null && (
					<Notice kind="caution" title={said.lost}>
						<p>
							<Told>{lost}</Told>
						</p>
					</Notice>
				)}
			</div>
			<div class="row">
				<Button kind="main" submits isBusy={isBusy}>
					{said.pair}
				</Button>
				<Button kind="quiet" onPress={onClose}>
					{kit.cancel}
				</Button>
			</div>
		</form>
	);
}

/** What this page may do, and how that is ended. */
export function PairingLine({ session, deeds }: { session: Session; deeds: Deeds }) {
	const { pair: said } = words().live;
	if (session.may !== "order" || session.endsInMs === null) return null;
	return (
		<div class="row">
			<p>{said.isPaired(span(session.endsInMs))}</p>
			{deeds.unpair !== undefined && (
				<Button kind="quiet" onPress={() => void deeds.unpair?.()}>
					{said.end}
				</Button>
			)}
		</div>
	);
}
