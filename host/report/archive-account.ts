// What the archive tells of a rig, for a terminal of 100 columns: runs, totals, the element, notes
// and the check before a passage. Made from the same answers that `--json` prints. Pure.

import type {
	ElementAnswer,
	Interval,
	ReadyAnswer,
	RunAnswer,
	TotalAnswer,
} from "../archive/answers.ts";
import { type ClockQuarrel, isDated } from "../archive/dating.ts";
import type { KeptNote, Note } from "../archive/note.ts";
import { season } from "../web/words/en-season.ts";
import { cautions } from "../web/words/note-cautions.ts";
import { plusMinus, terminalTable, wrapped } from "./terminal-table.ts";
import { localText, whenText, zoneText } from "./when-words.ts";

const COLUMNS = 100;

export function runTable(runs: readonly RunAnswer[]): string {
	const rows = runs.map((run) => [
		run.run,
		whenText(run.began, "\n"),
		`${orderText(run)}\n${goalText(run)}`,
		plusMinus(run.litres, run.litresUncertainty),
		run.motorHours.toFixed(4),
		[run.outcome, ...run.trips.map((code) => `!${code}`)].join("\n"),
	]);
	const began = runs.flatMap((run) => (isDated(run.began) ? [run.began.utcMs] : [])).at(-1);
	const zone = began === undefined ? "" : `, ${zoneText(began)}`;
	const head = ["run", `began (local${zone})`, "order", "L", "pump h", "ended; !trips"];
	return terminalTable(head, rows, RUN_WIDTHS);
}

/** With seven borders 100 columns. */
const RUN_WIDTHS: readonly number[] = [8, 25, 18, 15, 8, 19];

const orderText = ({ work, tank, toTank }: RunAnswer): string =>
	toTank === null ? `${work} ${tank}` : `${work} ${tank} into ${toTank}`;

function goalText({ work, goalLitres, goalHours, goalShare }: RunAnswer): string {
	if (work === "sweep") return "until dry";
	if (goalLitres !== null) return `${goalLitres.toFixed(goalLitres < 10 ? 2 : 0)} L`;
	if (goalHours !== null) return `${goalHours.toFixed(1)} h`;
	return goalShare === null ? "" : `to ${(100 * goalShare).toFixed(0)} %`;
}

export function totalTable(totals: readonly TotalAnswer[]): string {
	const rows = totals.map((row) => [
		totalName(row),
		row.runs,
		plusMinus(row.motorHours, row.motorHoursUncertainty),
		plusMinus(row.litres, row.litresUncertainty),
		row.litresByHours === null
			? "not known"
			: plusMinus(row.litresByHours, row.litresByHoursUncertainty ?? 0),
		differenceText(row),
	]);
	const head = ["", "runs", "pump h", "L by meter", "L by hours", "hours against meter"];
	return terminalTable(head, rows, TOTAL_WIDTHS);
}

/** With seven borders 100 columns. */
const TOTAL_WIDTHS: readonly number[] = [18, 6, 18, 18, 17, 16];

function totalName({ of, name }: TotalAnswer): string {
	const words = { tank: `tank ${name}`, element: "element in use", "no order": "without an order" };
	return of === "rig" ? name : words[of];
}

function differenceText({ differencePct, isWithin }: TotalAnswer): string {
	if (differencePct === null) return "";
	const sign = differencePct < 0 ? "" : "+";
	const words = isWithin === true ? "agree" : "do NOT agree";
	return `${sign}${differencePct.toFixed(1)} %, ${words}`;
}

export const TOTALS_WORDS = wrapped(
	"± is k = 2: about 95 of 100 lie within. The meter's litres carry its K-factor and its " +
		"allowance; hours times the pump's rate is off by up to 30 %, as nobody corrects it for " +
		"vacuum, voltage and cold. A transfer counts for the tank that it draws from.",
	COLUMNS,
);

export function elementAccount(element: ElementAnswer): string {
	const { micron, changed, runs, restriction, trend, forecast } = element;
	const since =
		changed === null ? "since the log began (no change is noted)" : `since ${localText(changed)}`;
	const name = micron === null ? "the element" : `the element of ${micron} µm`;
	const inRuns = `${runs} ${runs === 1 ? "run" : "runs"}`;
	const moved =
		`${plusMinus(element.litres, element.litresUncertainty)} L by the meter, ` +
		`${plusMinus(element.motorHours, element.motorHoursUncertainty)} h, ${inRuns}`;
	const lines = [`${element.rig}: ${name}, ${since}: ${moved}.`];
	if (restriction === null || forecast === null) {
		lines.push("Its restriction is not known yet: no run has settled since then.");
		return lines.map((line) => wrapped(line, COLUMNS)).join("\n");
	}
	const { kpa, cleanKpa, changeAtKpa, tank, samples } = restriction;
	lines.push(
		`Restriction ${kpa.toFixed(1)} kPa; clean ${cleanKpa}, change at ${changeAtKpa} kPa, all at ` +
			`free flow and 15 °C. Told ${whenText(restriction.when)}, in tank ${tank}.`,
	);
	lines.push(
		`It still takes ${forecast.grams.median?.toFixed(0)} g of dirt (80 %: ` +
			`${range(forecast.grams, "g")}). ${litresWords(tank, forecast.litres)}`,
	);
	lines.push(
		`It rests on ${samples} samples of settled pumping, and on what the rig file says of the ` +
			"element: how clean it began and what it holds are never known better than that.",
	);
	const table = terminalTable(
		["run", "began (local)", "tank", "L since the change", "kPa"],
		trend.map((row) => [
			row.run,
			whenText(row.began),
			row.tank,
			row.litres.toFixed(1),
			row.kpa.toFixed(2),
		]),
	);
	const caution = `When you change it: ${cautions["element-change"]}`;
	const text = lines.map((line) => wrapped(line, COLUMNS)).join("\n");
	return [text, table, wrapped(caution, COLUMNS)].join("\n");
}

/** How far that goes with the tank that was last at work. */
function litresWords(tank: string, litres: Interval): string {
	const { low, median } = litres;
	if (low === null) return `With tank ${tank} as it is, never: all of its dirt is less than that.`;
	const most = median === null ? "never" : `after ${median.toFixed(0)} L`;
	return `With tank ${tank} as it is, ${most} (80 %: ${range(litres, "L")}).`;
}

function range({ low, high }: { low: number | null; high: number | null }, unit: string): string {
	if (low === null) return "never, with this tank";
	if (high === null) return `${low.toFixed(0)} ${unit} to never, with this tank`;
	return `${low.toFixed(0)} to ${high.toFixed(0)} ${unit}`;
}

const MARKS = { held: "  ok ", not: " NOT ", unknown: "  ?  " } as const;
export function readyAccount({ rig, isReady, checks, cautions: words }: ReadyAnswer): string {
	const open = checks.filter(({ status }) => status !== "held").length;
	const verdict = isReady ? "ready" : `NOT ready: ${open} of ${checks.length} not held or unknown`;
	const lines = checks.map(({ check, tank, status, why }) => {
		const what = `${season.checks[check]}${tank === null ? "" : `, ${tank}`}`;
		return wrapped(why, COLUMNS, `${MARKS[status]}${what.padEnd(24)} `, " ".repeat(30));
	});
	return [`${rig}: ${verdict}`, ...lines, ...words.map((line) => wrapped(line, COLUMNS))].join(
		"\n",
	);
}

/** @param notes each with its photo, where it has one */
export function noteTable(notes: ReadonlyArray<KeptNote & { photo: unknown }>): string {
	const rows = notes.map(({ note, struckUtcMs, photo }) => [
		note.id,
		localText(note.atUtcMs),
		note.kind,
		[
			noteWords(note),
			photo === null ? "" : ", with a photo",
			struckUtcMs === null ? "" : ` (STRUCK ${localText(struckUtcMs)})`,
		].join(""),
		note.by ?? "",
	]);
	const head = ["id", "when (local)", "kind", "what", "by"];
	return terminalTable(head, rows, [11, 19, 17, 41, 6]);
}

/** What a note says, in a line. */
export function noteWords(note: Note): string {
	const more = note.text === null ? "" : `; ${note.text}`;
	return `${bodyWords(note)}${more}`;
}

function bodyWords(note: Note): string {
	switch (note.kind) {
		case "uplift": {
			const where = note.place === null ? "" : `, ${note.place}`;
			const batch = note.batch === null ? "" : `, batch ${note.batch}`;
			return `${note.litres} L into ${note.tank}${where}${batch}`;
		}
		case "dose":
			return `${note.doseMl} mL of ${note.product} into ${note.tank}${labelWords(note.label)}`;
		case "sample": {
			const lab = note.iso4406 === null ? "" : `, lab ${note.iso4406}`;
			const judged = { true: ", clear and bright", false: ", not clear and bright", null: "" };
			const bright = judged[`${note.clearAndBright}`];
			return `${note.tank}, ${note.from}: ${note.looked}${bright}${lab}`;
		}
		case "element-change":
			return `${note.micron} µm, after record ${note.afterSeq}`;
		case "drained": {
			const from = note.tank === null ? "" : ` from ${note.tank}`;
			const into = note.container === null ? "" : ` into ${note.container}`;
			return `${note.drainedMl} mL${from}${into}`;
		}
		case "spare-elements":
			return `${note.count} on board`;
		case "waste": {
			const place = note.place === null ? "aboard" : `handed in: ${note.place}`;
			const receipt = note.receipt === null ? "" : `, receipt ${note.receipt}`;
			return `${note.wasteMl} mL in ${note.container}, ${place}${receipt}`;
		}
		case "spot-map":
			return `${note.tank} has ${note.spots.join(", ")}`;
		case "spots": {
			const run = note.run === null ? "" : `, in run ${note.run}`;
			return `${note.tank}: ${note.spots.join(", ")} done${run}`;
		}
		case "engine":
			return `stands since ${localText(note.standsSinceUtcMs)}`;
	}
}

const labelWords = (label: string | null): string => (label === null ? "" : `, label: ${label}`);

export const quarrelLines = (quarrels: readonly ClockQuarrel[]): string[] =>
	quarrels.map(({ boot, words }) => wrapped(`boot ${boot}: ${words}`, COLUMNS, "! ", "  "));
