// Notes that are not in the logbook yet: why, and what may be done about each. Nothing is shown
// while none waits.

import { Button } from "../kit/button.tsx";
import { Notice, Told } from "../kit/notice.tsx";
import { localText } from "./local-text.ts";
import { logbookWords } from "./logbook-words.ts";
import type { Outbox, Waiting } from "./outbox.ts";

export interface WaitingListProps {
	readonly outbox: Outbox;
	readonly isUnpaired: boolean;
	readonly onPair: () => void;
	readonly onSend: () => void;
	readonly onBack: (one: Waiting) => void;
	readonly onDrop: (one: Waiting) => void;
}

export function WaitingList(props: WaitingListProps) {
	const { outbox, isUnpaired, onPair, onSend, onBack, onDrop } = props;
	const { waiting: said, kinds } = logbookWords();
	const { waiting, isKept } = outbox;
	if (waiting.length === 0) return isKept ? null : <p class="hint">{said.unkept}</p>;
	const nameOf = ({ kind, writtenMs }: Waiting) => `${kinds[kind]}, ${localText(writtenMs)}`;
	return (
		<section aria-labelledby="waiting-heading">
			<Notice kind="caution" title={said.heading}>
				<h2 class="unseen" id="waiting-heading">
					{said.heading}
				</h2>
				<p>{isKept ? said.why : said.unkept}</p>
				<ul class="notes">
					{waiting.map((one) => (
						<li key={one.id}>
							<p>
								<strong>{nameOf(one)}</strong>
							</p>
							{one.refused !== "" && (
								<>
									<p>
										{one.isNoted ? said.photoRefused : said.refused} <Told>{one.refused}</Told>
									</p>
									<div class="row">
										{!one.isNoted && (
											<Button label={said.backOf(nameOf(one))} onPress={() => onBack(one)}>
												{said.back}
											</Button>
										)}
										<Button
											kind="quiet"
											label={said.dropOf(nameOf(one))}
											onPress={() => onDrop(one)}
										>
											{said.drop}
										</Button>
									</div>
								</>
							)}
						</li>
					))}
				</ul>
				{isUnpaired && <p>{said.paired}</p>}
				<div class="row">
					{isUnpaired && (
						<Button kind="main" onPress={onPair}>
							{said.pair}
						</Button>
					)}
					<Button onPress={onSend}>{said.now}</Button>
				</div>
			</Notice>
		</section>
	);
}
