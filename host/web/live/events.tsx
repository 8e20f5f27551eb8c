// What happened, the latest first, in the controller's own words. A trip has a mark and a word, so
// that colour only repeats it.

import { useState } from "preact/hooks";
import { Button } from "../kit/button.tsx";
import { Told } from "../kit/notice.tsx";
import { Table } from "../kit/table.tsx";
import type { EventLine } from "../scene.ts";
import { clock } from "../units.ts";
import { words } from "../words/words.ts";

const FEW = 8;
/** Day before month or after it: the month is a word. */
const WHEN = {
	day: "numeric",
	month: "short",
	hour: "2-digit",
	minute: "2-digit",
	second: "2-digit",
	hourCycle: "h23",
} as const;

export function Events({ events }: { readonly events: readonly EventLine[] }) {
	const [isAll, setAll] = useState(false);
	const { events: said } = words().live;
	if (events.length === 0) return <p>{said.none}</p>;
	const latest = [...events].reverse();
	const rows = (isAll ? latest : latest.slice(0, FEW)).map((event) => [
		<When key="when" event={event} />,
		<>
			{event.isTrip && (
				<strong>
					<span aria-hidden="true">▲ </span>
					{said.trip}
					{": "}
				</strong>
			)}
			<Told>{event.what}</Told>
			<span class="event-why">
				<Told>{event.why}</Told>
			</span>
		</>,
	]);
	const columns = [{ head: said.when }, { head: said.what }];
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

function When({ event: { utcMs, monoMs } }: { readonly event: EventLine }) {
	const { locale, live } = words();
	if (utcMs === null) return <>{live.events.afterBoot(clock(monoMs))}</>;
	const text = new Intl.DateTimeFormat(locale, WHEN).format(utcMs);
	return <time dateTime={new Date(utcMs).toISOString()}>{text}</time>;
}
