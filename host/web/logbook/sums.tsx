// What the notes add up to: the waste ledger, the pick-up spots of each tank, every element. All is
// reckoned by the server; here it becomes tables.

import type { NotesAnswer, SpotMap, WasteLedger } from "../../archive/note-answers.ts";
import { useChoices } from "../kit/choices.ts";
import { Table } from "../kit/table.tsx";
import { figure, inUnit, measure, numeral, unitOf } from "../units.ts";
import { words } from "../words/words.ts";
import { localText } from "./local-text.ts";
import { logbookWords } from "./logbook-words.ts";

export function Ledger({ ledger }: { readonly ledger: WasteLedger }) {
	const { ledger: said } = logbookWords();
	const taste = useChoices();
	const ml = (stored: number) => measure("small", stored, taste);
	const head = (name: string) => ({ head: name, isNumber: true });
	return (
		<section aria-labelledby="ledger-heading">
			<h2 id="ledger-heading">{said.heading}</h2>
			<p>{said.sum(ml(ledger.drainedMl), ml(ledger.handedMl), ml(ledger.aboardMl))}</p>
			{ledger.looseMl > 0 && <p>{said.loose(ml(ledger.looseMl))}</p>}
			{ledger.containers.length > 0 && (
				<Table
					caption={said.containers}
					columns={[{ head: said.container }, head(said.filled), head(said.out), head(said.aboard)]}
					rows={ledger.containers.map(({ container, filledMl, handedMl, aboardMl }) => [
						container,
						ml(filledMl),
						ml(handedMl),
						ml(aboardMl),
					])}
				/>
			)}
			{ledger.handed.length > 0 && (
				<Table
					caption={said.handed}
					columns={[
						{ head: said.when },
						head(said.amount),
						{ head: said.container },
						{ head: said.where },
						{ head: said.receipt },
					]}
					rows={ledger.handed.map(({ atUtcMs, wasteMl, container, place, receipt }) => [
						localText(atUtcMs),
						ml(wasteMl),
						container,
						place,
						receipt ?? said.noReceipt,
					])}
				/>
			)}
		</section>
	);
}

export function Spots({ maps }: { readonly maps: readonly SpotMap[] }) {
	const { map: said } = logbookWords();
	return (
		<section aria-labelledby="spots-heading">
			<h2 id="spots-heading">{said.heading}</h2>
			{maps.length === 0 && <p>{said.none}</p>}
			{maps.map(({ tank, spots }) => (
				<Table
					key={tank}
					caption={said.tank(tank)}
					columns={[
						{ head: said.spot },
						{ head: said.state },
						{ head: said.last },
						{ head: said.run },
					]}
					rows={spots.map(({ spot, doneUtcMs, run, isDone }) => [
						spot,
						isDone ? said.done : said.toDo,
						doneUtcMs === null ? said.never : localText(doneUtcMs),
						run === null ? "" : String(run),
					])}
				/>
			))}
		</section>
	);
}

export function Elements({ elements }: { readonly elements: NotesAnswer["elements"] }) {
	const { elements: said } = logbookWords();
	const { units, withUnit } = words().kit;
	const taste = useChoices();
	const number = (name: string, unit: string) => ({ head: withUnit(name, unit), isNumber: true });
	const litresOff = (stored: number) => numeral(Math.abs(inUnit("volume", stored, taste)), 1);
	return (
		<section aria-labelledby="elements-heading">
			<h2 id="elements-heading">{said.heading}</h2>
			<Table
				caption={said.heading}
				hidesCaption
				columns={[
					{ head: said.rating },
					{ head: said.from },
					{ head: said.until },
					{ head: said.runs, isNumber: true },
					number(said.pumped, unitOf("volume", taste)),
					number(said.hours, units.hours),
					number(said.last, unitOf("vacuum", taste)),
				]}
				rows={elements.map((row) => [
					row.micron === null ? said.notNoted : withUnit(String(row.micron), units.microns),
					row.changed === null ? said.before : localText(row.changed),
					row.until === null ? said.inUse : localText(row.until),
					String(row.runs),
					said.plusMinus(figure("volume", row.litres, taste), litresOff(row.litresUncertainty)),
					said.plusMinus(
						figure("hours", row.motorHours, taste),
						numeral(row.motorHoursUncertainty, 2),
					),
					row.lastKpa === null ? said.notTold : figure("vacuum", row.lastKpa, taste),
				])}
			/>
			<p class="hint">{said.basis}</p>
		</section>
	);
}
