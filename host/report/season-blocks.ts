// The season's answer as a document: the one form from which its HTML, its PDF, its page and what
// the terminal prints are made. Pure; words and units come from the caller.

import type { Taste } from "../web/units.ts";
import type { Words } from "../web/words/words.ts";
import type { Block, Paper } from "./blocks.ts";
import { restrictionPicture } from "./season-picture.ts";
import type { SeasonAnswer } from "./season-schema.ts";
import {
	dueTable,
	elementTable,
	entryTable,
	monthTable,
	proofTable,
	readyTable,
	type Teller,
	tankTable,
	tripTable,
} from "./season-tables.ts";
import { Figures, off, plain } from "./season-units.ts";
import { Calendar } from "./season-when.ts";

/** What is said on it. */
type SeasonWords = Pick<Words, "locale" | "kit" | "rig" | "season">;

export function seasonPaper(answer: SeasonAnswer, taste: Taste, words: SeasonWords): Paper {
	const { season, rig } = words;
	const calendar = new Calendar(answer.timeZone, season);
	const figures = new Figures(taste, words.kit);
	const teller: Teller = { words: season, rig, calendar, figures };
	const foot = season.foot(answer.rig, calendar.day(answer.atUtcMs));
	return {
		lang: words.locale,
		title: season.titleOf(answer.rig),
		foot: answer.isInvented ? `${season.footInvented}. ${foot}` : foot,
		blocks: [
			...headBlocks(answer, teller),
			...tankBlocks(answer, teller),
			...monthBlocks(answer, teller),
			...elementBlocks(answer, teller),
			...eventBlocks(answer, teller),
			...readyBlocks(answer, teller),
			...meaningBlocks(answer, teller),
		],
	};
}

const heading = (text: string): Block => ({ kind: "heading", text });
const plainWords = (text: string): Block => ({ kind: "words", text, tone: "plain" });
const smallWords = (text: string): Block => ({ kind: "words", text, tone: "small" });
const markedWords = (text: string): Block => ({ kind: "words", text, tone: "mark" });

function headBlocks(answer: SeasonAnswer, { words, calendar }: Teller): Block[] {
	const { rig, isInvented, atUtcMs, timeZone } = answer;
	return [
		{ kind: "title", text: words.titleOf(rig) },
		smallWords(words.made(calendar.time(atUtcMs), timeZone)),
		...(isInvented ? [markedWords(words.invented)] : []),
	];
}

function isEmpty({ runs, tanks, entries, drains }: SeasonAnswer): boolean {
	return runs === 0 && tanks.length === 0 && entries.length === 0 && drains === 0;
}

function tankBlocks(answer: SeasonAnswer, teller: Teller): Block[] {
	const { words } = teller;
	if (isEmpty(answer)) return [plainWords(words.nothing)];
	return [
		plainWords(summary(answer, teller)),
		...doubts(answer, words).map(markedWords),
		heading(words.tanks),
		...(answer.tanks.length === 0
			? [plainWords(words.noTanks)]
			: [tankTable(answer.tanks, teller), heading(words.dueHead), dueTable(answer.tanks, teller)]),
	];
}

function summary(answer: SeasonAnswer, { words, calendar, figures }: Teller): string {
	const { firstUtcMs, lastUtcMs, litresByHours, litresByHoursUncertainty } = answer;
	const span =
		firstUtcMs === null || lastUtcMs === null
			? words.undatedSpan
			: words.span(calendar.day(firstUtcMs), calendar.day(lastUtcMs));
	const unit = figures.volumeUnit;
	const litres = `${figures.volumeOff(answer.litres, answer.litresUncertainty)} ${unit}`;
	const hours = off(answer.motorHours, answer.motorHoursUncertainty);
	const parts = [
		words.moved(words.runs(answer.runs), hours, litres),
		...(litresByHours === null
			? []
			: [
					words.byHours(
						`${figures.volumeOff(litresByHours, litresByHoursUncertainty ?? 0)} ${unit}`,
					),
				]),
		words.drained(plain(answer.waterMl), answer.drains),
		words.tripped(answer.trips),
	];
	return `${span}: ${parts.join("; ")}.`;
}

function doubts(answer: SeasonAnswer, words: Words["season"]): string[] {
	const { undatedRuns, quarrels, notedTwice, isCalibrated, runs } = answer;
	return [
		...(undatedRuns === 0 ? [] : [words.undated(undatedRuns)]),
		...(isCalibrated || runs === 0 ? [] : [words.notCalibrated]),
		...(quarrels === 0 ? [] : [words.quarrels(quarrels)]),
		...(notedTwice === 0 ? [] : [words.notedTwice(notedTwice)]),
	];
}

function monthBlocks({ months }: SeasonAnswer, teller: Teller): Block[] {
	if (months.length === 0) return [];
	return [heading(teller.words.months), monthTable(months, teller)];
}

function elementBlocks(answer: SeasonAnswer, teller: Teller): Block[] {
	const { words, figures } = teller;
	if (isEmpty(answer)) return [];
	const picture = restrictionPicture(answer, figures, words);
	return [
		heading(words.elements),
		elementTable(answer.elements, teller),
		...(picture === null ? [] : [picture]),
		plainWords(forecastText(answer, teller)),
	];
}

function forecastText(
	{ forecast, forecastTank }: SeasonAnswer,
	{ words, figures }: Teller,
): string {
	if (forecast === null || forecastTank === null) return words.noRestriction;
	const { grams, litres } = forecast;
	const whole = (value: number | null) => (value === null ? words.never : value.toFixed(0));
	const ofDirt = words.grams(whole(grams.median), whole(grams.low), whole(grams.high));
	if (litres.low === null) return `${ofDirt} ${words.forecastNever(forecastTank)}`;
	const volume = (value: number | null) =>
		value === null ? words.never : `${figures.toVolume(value).toFixed(0)} ${figures.volumeUnit}`;
	const span = words.to(volume(litres.low), volume(litres.high));
	return `${ofDirt} ${words.forecast(forecastTank, volume(litres.median), span)}`;
}

function eventBlocks(answer: SeasonAnswer, teller: Teller): Block[] {
	const { words } = teller;
	const { tripList: trips, entries, proofs } = answer;
	return [
		...(trips.length === 0 ? [] : [heading(words.trips), tripTable(trips, teller)]),
		...(proofs.length === 0 ? [] : [heading(words.proofs), proofTable(proofs, teller)]),
		...(entries.length === 0 ? [] : [heading(words.entries), entryTable(entries, teller)]),
	];
}

function readyBlocks({ ready }: SeasonAnswer, teller: Teller): Block[] {
	const { words } = teller;
	const open = ready.checks.filter(({ status }) => status !== "held").length;
	const verdict = ready.isReady ? words.isReady : words.notReady(open, ready.checks.length);
	return [
		heading(words.ready),
		markedWords(verdict),
		readyTable(ready.checks, teller),
		...ready.cautions.map((text): Block => ({ kind: "words", text, tone: "plain", isTold: true })),
	];
}

function meaningBlocks({ limits }: SeasonAnswer, { words }: Teller): Block[] {
	const { meanings } = words;
	const limit = (name: string) => plain(limits[name] ?? 0);
	return [
		heading(words.definitions),
		...[
			meanings.plusMinus,
			meanings.litres,
			meanings.turnovers,
			meanings.months,
			meanings.water,
			meanings.bought,
			meanings.restriction,
			meanings.due(
				limit("standingDaysMax"),
				limit("upliftDays"),
				limit("turnoversMin"),
				limit("waterDays"),
				limit("doseDays"),
			),
			meanings.local,
		].map(smallWords),
	];
}
