// What the sensors said last, each with its unit or the reason why there is nothing; on the bench
// with the truth beside it.

import type { Senses } from "../../../firmware/link/protocol.ts";
import { useChoices } from "../kit/choices.ts";
import { Table } from "../kit/table.tsx";
import type { TruthNow } from "../scene.ts";
import { type Kind, measure } from "../units.ts";
import { words } from "../words/words.ts";
import { quantityText } from "./quantity.ts";

type Sensed = NonNullable<Senses["sensed"]>;
type Row = readonly [what: string, sensed: string, truth: string];

export interface ReadingsProps {
	readonly senses: Senses | null;
	readonly truth?: TruthNow | undefined;
}

export function Readings({ senses, truth }: ReadingsProps) {
	const { readings } = words().live;
	const taste = useChoices();
	const sensed = senses?.sensed ?? null;
	if (sensed === null) return <p>{readings.none}</p>;
	const quantity = (what: string, kind: Kind, value: number | string, true_?: number): Row => {
		const text = (stored: number) => measure(kind, stored, taste);
		return [what, quantityText(value, "", text), true_ === undefined ? "" : text(true_)];
	};
	const rows: Row[] = [
		quantity(readings.flow, "flow", sensed.flowLph, truth?.flowLph),
		quantity(readings.vacuum, "vacuum", sensed.vacuumKpa, truth?.vacuumKpa),
		quantity(readings.supply, "volts", sensed.supplyVolts),
		quantity(readings.current, "amps", sensed.motorAmps),
		quantity(readings.levelFrom, "share", sensed.levelFrom),
		quantity(readings.levelTo, "share", sensed.levelTo),
		quantity(readings.fuel, "temperature", sensed.fuelC),
		quantity(readings.motorCase, "temperature", sensed.caseC),
		quantity(readings.bowlTap, "vacuum", sensed.bowlTapKpa),
		...contactRows(sensed),
	];
	const shown = truth === undefined ? rows.map(([what, said]) => [what, said]) : rows;
	const columns = [
		{ head: readings.what },
		{ head: readings.sensed, isNumber: true },
		...(truth === undefined ? [] : [{ head: readings.truth, isNumber: true }]),
	];
	return <Table caption={readings.heading} hidesCaption columns={columns} rows={shown} />;
}

/** What is not fitted is left out: the coverage tells of it. */
function contactRows(sensed: Sensed): Row[] {
	const { readings } = words().live;
	const { contacts } = readings;
	const rows: Array<readonly [string, string, Readonly<Record<string, string>>]> = [
		[readings.probe, sensed.probe, { wet: readings.wet, dry: readings.dry }],
		[readings.stopLoop, sensed.stop, contacts.stop],
		[readings.tray, sensed.tray, contacts.tray],
		[readings.returnSeat, sensed.returnSeat, contacts.seat],
		[readings.tubeSeat, sensed.tubeSeat, contacts.seat],
	];
	return rows
		.filter(([, value]) => value !== "not-fitted")
		.map(([what, value, texts]) => [what, texts[value] ?? quantityText(value, ""), ""]);
}
