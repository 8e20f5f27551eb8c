// The tables of a season's paper: tanks, months, elements, trips, notes and the check before a
// passage. Pure; words and units come from the caller.

import type { Check } from "../archive/answers.ts";
import type { Words } from "../web/words/words.ts";
import type { Column, Table } from "./blocks.ts";
import { dueReasons, dueText } from "./due-words.ts";
import type {
	ElementSeason,
	EntrySeason,
	MonthSeason,
	SeasonAnswer,
	TankSeason,
} from "./season-schema.ts";
import { type Figures, off, plain } from "./season-units.ts";
import type { Calendar } from "./season-when.ts";

/** How an answer is told: in which words, units and time zone. */
export interface Teller {
	readonly words: Words["season"];
	readonly rig: Words["rig"];
	readonly figures: Figures;
	readonly calendar: Calendar;
}

const NO_BOUNDS = { earliestUtcMs: null, latestUtcMs: null };

const text = (head: string): Column => ({ head, isNumber: false });
const told = (head: string): Column => ({ head, isNumber: false, isTold: true });
const number = (head: string): Column => ({ head, isNumber: true });

/** What tanks and months have in common. */
type Row = Pick<
	TankSeason,
	| "runs"
	| "motorHours"
	| "motorHoursUncertainty"
	| "litres"
	| "litresUncertainty"
	| "litresByHours"
	| "litresByHoursUncertainty"
	| "turnovers"
	| "turnoversUncertainty"
	| "waterMl"
	| "upliftLitres"
	| "doses"
	| "samples"
	| "trips"
>;

function rowColumns({ words, figures }: Teller): Column[] {
	const { columns } = words;
	const unit = figures.volumeUnit;
	return [
		number(columns.runs),
		number(columns.hours),
		number(columns.litres(unit)),
		number(columns.byHours(unit)),
		number(columns.turnovers),
		number(columns.water),
		number(columns.bought(unit)),
		number(columns.doses),
		number(columns.samples),
		number(columns.trips),
	];
}

function rowCells(row: Row, { figures }: Teller): string[] {
	const { litresByHours, litresByHoursUncertainty } = row;
	return [
		String(row.runs),
		off(row.motorHours, row.motorHoursUncertainty),
		figures.volumeOff(row.litres, row.litresUncertainty),
		litresByHours === null ? "" : figures.volumeOff(litresByHours, litresByHoursUncertainty ?? 0),
		off(row.turnovers, row.turnoversUncertainty),
		plain(row.waterMl),
		figures.volume(row.upliftLitres),
		String(row.doses),
		String(row.samples),
		String(row.trips),
	];
}

export function tankTable(tanks: readonly TankSeason[], teller: Teller): Table {
	const { columns } = teller.words;
	return {
		kind: "table",
		columns: [told(columns.tank), ...rowColumns(teller)],
		rows: tanks.map((tank) => [tank.tank, ...rowCells(tank, teller)]),
	};
}

export function monthTable(months: readonly MonthSeason[], teller: Teller): Table {
	const { words, calendar } = teller;
	const { columns } = words;
	return {
		kind: "table",
		columns: [text(columns.month), told(columns.tank), ...rowColumns(teller)],
		rows: months.map((row) => {
			const { month, between, tank } = row;
			const name = month ?? words.inNoMonth(calendar.days(between ?? NO_BOUNDS));
			return [name, tank ?? words.noTank, ...rowCells(row, teller)];
		}),
	};
}

export function dueTable(tanks: readonly TankSeason[], teller: Teller): Table {
	const { columns } = teller.words;
	return {
		kind: "table",
		columns: [told(columns.tank), text(columns.due), text(columns.why), text(columns.lastSample)],
		rows: tanks.map(({ tank, due, lastSample }) => [
			tank,
			dueText(due, teller),
			dueReasons(due, teller),
			sampleText(lastSample, teller),
		]),
	};
}

function sampleText(sample: TankSeason["lastSample"], { words, calendar }: Teller): string {
	if (sample === null) return words.noSample;
	const { atUtcMs, looked, iso4406 } = sample;
	const lab = iso4406 === null ? "" : `, ISO 4406 ${iso4406}`;
	return `${calendar.day(atUtcMs)}: ${words.looks[looked]}${lab}`;
}

export function elementTable(elements: readonly ElementSeason[], teller: Teller): Table {
	const { words, figures, calendar } = teller;
	const { columns } = words;
	const kpa = (value: number | null) => (value === null ? "" : figures.pressure(value));
	return {
		kind: "table",
		columns: [
			text(columns.element),
			text(columns.inUse),
			number(columns.runs),
			number(columns.hours),
			number(columns.litres(figures.volumeUnit)),
			number(columns.restriction(figures.pressureUnit)),
			number(columns.cleanChange(figures.pressureUnit)),
		],
		rows: elements.map((element) => {
			const { micron, fromUtcMs, toUtcMs, cleanKpa, changeAtKpa } = element;
			const from = fromUtcMs === null ? words.sinceBegin : calendar.day(fromUtcMs);
			const to = toUtcMs === null ? words.untilNow : calendar.day(toUtcMs);
			return [
				micron === null ? words.elementUnknown : words.elementName(String(micron)),
				words.to(from, to),
				String(element.runs),
				off(element.motorHours, element.motorHoursUncertainty),
				figures.volumeOff(element.litres, element.litresUncertainty),
				kpa(element.kpa),
				cleanKpa === null ? "" : `${kpa(cleanKpa)}, ${kpa(changeAtKpa)}`,
			];
		}),
	};
}

export function tripTable(trips: SeasonAnswer["tripList"], teller: Teller): Table {
	const { words, rig, calendar } = teller;
	const { columns } = words;
	return {
		kind: "table",
		columns: [text(columns.when), told(columns.tank), text(columns.trip)],
		rows: trips.map(({ code, tank, when }) => [
			calendar.when(when),
			tank ?? words.noTank,
			(rig.trips[code] ?? rig.otherTrip).name,
		]),
	};
}

export function entryTable(entries: readonly EntrySeason[], teller: Teller): Table {
	const { words, figures, calendar } = teller;
	const { columns } = words;
	return {
		kind: "table",
		columns: [
			text(columns.when),
			text(columns.kind),
			told(columns.tank),
			told(columns.details),
			told(columns.by),
		],
		rows: entries.map((entry) => {
			const { atUtcMs, kind, tank, litres, ml, micron, sample, waste, by } = entry;
			const amount = [
				...(litres === null ? [] : [`${figures.volume(litres)} ${figures.volumeUnit}`]),
				...(ml === null ? [] : [`${plain(ml)} mL`]),
				...(micron === null ? [] : [words.elementName(String(micron))]),
			];
			const more = [...seenIn(sample, words), ...goneTo(waste, words)];
			const details = [...amount, ...more, ...entry.words].join(", ");
			return [calendar.time(atUtcMs), words.kinds[kind], tank ?? "", details, by ?? ""];
		}),
	};
}

function seenIn(sample: EntrySeason["sample"], words: Words["season"]): string[] {
	if (sample === null) return [];
	const { from, looked, isClearAndBright, iso4406 } = sample;
	const look = isClearAndBright ? words.clearAndBright : words.looks[looked];
	return [words.sampleFrom[from], look, ...(iso4406 === null ? [] : [`ISO 4406 ${iso4406}`])];
}

function goneTo(waste: EntrySeason["waste"], words: Words["season"]): string[] {
	if (waste === null) return [];
	const { container, place, receipt } = waste;
	if (place === null) return [words.putInto(container)];
	const proof = receipt === null ? words.noReceipt : words.receipt(receipt);
	return [words.handedIn(container, place), proof];
}

export function proofTable(proofs: SeasonAnswer["proofs"], teller: Teller): Table {
	const { words, calendar } = teller;
	const { columns } = words;
	return {
		kind: "table",
		columns: [told(columns.step), text(columns.when), text(columns.again), told(columns.state)],
		rows: proofs.map(({ title, when, everyDays, due }) => [
			title,
			calendar.when(when),
			everyDays === null ? words.afterChange : words.afterDays(plain(everyDays)),
			due ?? words.passed,
		]),
	};
}

export function readyTable(checks: readonly Check[], { words }: Teller): Table {
	const { columns } = words;
	return {
		kind: "table",
		columns: [text(columns.check), told(columns.tank), text(columns.state), told(columns.why)],
		rows: checks.map(({ check, tank, status, why }) => [
			words.checks[check],
			tank ?? "",
			words.states[status],
			why,
		]),
	};
}
