// What happened, the latest first, in the controller's own words. A trip has a mark and a word.

import { useState } from "preact/hooks";
import { Button } from "../kit/button.tsx";
import { Told } from "../kit/notice.tsx";
import { Table } from "../kit/table.tsx";
import type { EventLine } from "../scene.ts";
import { span } from "../units.ts";
import { words } from "../words/words.ts";

const FEW = 8;

export function Events({ events }: { readonly events: readonly EventLine[] }) {
	const [isAll, setAll] = useState(false);
	const { events: said } = words().live;
	if (events.length === 0) return <p>{said.none}</p>;
	const latest = [...events].reverse();
	const rows = (isAll ? latest : latest.slice(0, FEW)).map((event) => [
		whenText(event),
		<>
			{event.isTrip && (
				<strong>
					<span aria-hidden="true">▲ </span>
					{said.trip}
					{": "}
				</strong>
			)}
			<Told>{event.what}</Told>
		</>,
		<Told key="why">{event.why}</Told>,
	]);
	const columns = [{ head: said.when }, { head: said.what }, { head: said.why }];
	return (
		<div class="events">
			<Table caption={said.heading} hidesCaption columns={columns} rows={rows} />
			{latest.length > FEW && (
				<Button kind="quiet" onPress={() => setAll(!isAll)}>
					{isAll ? said.fewer : said.all(String(latest.length))}
				</Button>
			)}
		</div>
	);
}

function whenText({ utcMs, monoMs }: EventLine): string {
	const { locale, live } = words();
	if (utcMs === null) return live.events.afterBoot(span(monoMs));
	const format = { dateStyle: "short", timeStyle: "medium" } as const;
	return new Intl.DateTimeFormat(locale, format).format(utcMs);
}
