// The account of a replay, 80 columns: what was decided again, whether it came out the same, the
// first difference with the readings around it, and what today's logic tells of it all. Pure.

import type {
	ApproximateAnswer,
	DifferenceAnswer,
	ExactAnswer,
	ReplayAnswer,
} from "../replay/answer.ts";
import { clock, layOut, wrap } from "./account.ts";
import type { Marked } from "./bench-account.ts";

const WIDTH = 80;

const plain = (text: string): Marked => ({ mark: "plain", text });
const heading = (text: string): Marked => ({ mark: "heading", text });
const words = (text: string, indent = ""): Marked[] =>
	wrap(text, WIDTH - indent.length).map((line) => plain(`${indent}${line}`));

export function exactAccount(answer: ExactAnswer, changes: readonly string[]): Marked[] {
	const { isIdentical, difference, lacksSamples, hungAt } = answer;
	return [
		...top(answer, changes),
		plain(""),
		...(isIdentical
			? [{ mark: "title", text: `IDENTICAL${identicalWords(answer)}` } as const]
			: []),
		...(lacksSamples
			? words("The log had let samples of it go: those were not compared, all else was.")
			: []),
		...undecidedLines(answer),
		...(difference === null ? [] : differenceLines(difference)),
		...(hungAt === null ? [] : words(hungAtWords(hungAt))),
		...bottom(answer),
	];
}

function identicalWords({ ticks, span }: ExactAnswer): string {
	const place =
		span === null || span.gaps === 0 ? "" : ` in ${time(span.decidedSeconds)} of run ${span.run}`;
	const decide = ticks === 1 ? "the one tick decides" : `all ${ticks} ticks decide`;
	return `${place}: ${decide} the same.`;
}

function undecidedLines({ span }: ExactAnswer): Marked[] {
	if (span === null || span.gaps === 0) return [];
	const { run, runSeconds, decidedSeconds, gaps } = span;
	const otherSeconds = Math.round((runSeconds - decidedSeconds) * 1000) / 1000;
	return words(
		`The other ${time(otherSeconds)} of run ${run}'s ${time(runSeconds)}, in ` +
			`${gaps === 1 ? "one gap" : `${gaps} gaps`}, was not decided: no tick inputs of it are left.`,
	);
}

const hungAtWords = ({ boot, atSeconds }: NonNullable<ExactAnswer["hungAt"]>): string =>
	`At ${time(atSeconds)} after boot ${boot} began today's logic hangs: the ticks after that were ` +
	"not decided.";

export function approximateAccount(
	answer: ApproximateAnswer,
	changes: readonly string[],
): Marked[] {
	const { hasSameTrip, tripThen, tripNow, outOfStepSeconds, assumed } = answer;
	const isUntold = tripThen?.isTellable === false && tripNow === null && outOfStepSeconds === null;
	const verdict = hasSameTrip
		? "the same trip, or none, as in the log"
		: isUntold
			? `the trip that came, ${tripThen.code}, cannot be told by samples`
			: "ANOTHER course";
	return [
		...top(answer, changes),
		plain(""),
		...wrap(`APPROXIMATE: ${verdict}.`, WIDTH).map(
			(text): Marked => ({ mark: hasSameTrip ? "title" : "trip", text }),
		),
		plain(`  then  ${tripWords(tripThen)}`),
		plain(`  now   ${tripWords(tripNow)}`),
		...(outOfStepSeconds === null
			? []
			: words(
					`From ${time(outOfStepSeconds)} on today's logic pumps where the log did not, or it ` +
						"has lost samples there: what would have come then no sample tells.",
				)),
		...words("A hint and no proof: only samples of this run are left, and so it was assumed:"),
		...assumed.flatMap((one) => words(one, "  ")),
		...bottom(answer),
	];
}

const tripWords = (trip: ApproximateAnswer["tripThen"]): string =>
	trip === null ? "no trip that samples can tell" : `${trip.code} at ${time(trip.atSeconds)}`;

function top(answer: ReplayAnswer, changes: readonly string[]): Marked[] {
	const { run, recordedBy, replayedBy, rigFile, ticks, simulatedSeconds, wallSeconds } = answer;
	const then =
		recordedBy === null
			? "a program of which no version is known"
			: `version ${recordedBy.version}, logic ${recordedBy.hash}`;
	const isSame = recordedBy?.hash === replayedBy.hash;
	const now = isSame ? "the same logic" : `version ${replayedBy.version}, logic ${replayedBy.hash}`;
	const whatIf = [...(rigFile === null ? [] : [`rig file ${rigFile}`]), ...changes];
	const speed = Math.round(simulatedSeconds / Math.max(1e-9, wallSeconds));
	return [
		...wrap(`Replay of ${run}`, WIDTH).map((text): Marked => ({ mark: "title", text })),
		...words(`Recorded by ${then}; replayed by ${now}.`),
		...(whatIf.length === 0 ? [] : words(`What if: ${whatIf.join(", ")}.`)),
		...words(
			`${ticks} ticks, ${clock(simulatedSeconds * 1000)} at the rig, in ` +
				`${wallSeconds.toFixed(2)} s: ${speed} times real time.`,
		),
	];
}

function bottom({ account }: ReplayAnswer): Marked[] {
	const boots = [...new Set(account.map(({ boot }) => boot))];
	const lines = boots.flatMap((boot) => [
		...(boots.length > 1 ? [heading(`Boot ${boot}`)] : []),
		...layOut(
			account
				.filter((line) => line.boot === boot)
				.map(({ atSeconds, what, why }) => ({ monoMs: atSeconds * 1000, what, why })),
			WIDTH,
		).map((text): Marked => ({ mark: text.includes("TRIP ") ? "trip" : "plain", text })),
	]);
	const title = `    TIME ${"WHAT TODAY'S LOGIC DECIDES".padEnd(38)}  WHY`;
	return [
		plain(""),
		heading(title),
		...(lines.length > 0 ? lines : [plain("         nothing new")]),
	];
}

function differenceLines(difference: DifferenceAnswer): Marked[] {
	const { boot, tick, atSeconds, outputs, records, hung } = difference;
	const where = tick < 0 ? "as it came up" : `tick ${tick + 1} of its stretch`;
	const place = `DIFFERENT at ${time(atSeconds)} after boot ${boot} began, ${where}:`;
	return [
		{ mark: "broken", text: place },
		...outputs.map(({ output, was, now }) =>
			plain(`  output ${output.padEnd(14)} then ${onOff(was)}, now ${onOff(now)}`),
		),
		...(hung === null ? [] : words(hungWords[hung], "  ")),
		...records.flatMap(recordLines),
		plain(""),
		...readingLines(difference),
		...words(
			"From there on the inputs are still those that were recorded: in the world another " +
				"decision would have had other readings.",
		),
	];
}

const onOff = (level: boolean): string => (level ? "on" : "off");
const hungWords = {
	was: "then the controller hung in this tick, now it decides",
	now: "then the controller decided, now it hangs in this tick",
} as const;

function recordLines({ was, now, fields }: DifferenceAnswer["records"][number]): Marked[] {
	if (was === null || now === null || was !== now) {
		const text = fields.flatMap(({ field, was: then, now: today }) =>
			TELLING.has(field) ? [show(now === null ? then : today)] : [],
		);
		const what = text.length === 0 ? "" : ` (${text.join("; ")})`;
		const [then, today] = [was ?? "none", now ?? "none"];
		return words(`record: then ${then}, now ${today}${what}`, "  ");
	}
	return [
		plain(`  record ${was}:`),
		...fields.flatMap(({ field, was: then, now: today }) =>
			words(`${field}: then ${show(then)}, now ${show(today)}`, "    "),
		),
	];
}

/** Of a record that stands alone, what says what it is about. */
const TELLING: ReadonlySet<string> = new Set(["code", "cause", "to", "why", "outcome", "reasons"]);

const show = (value: unknown): string =>
	typeof value === "string" ? value : JSON.stringify(value ?? null);

const time = (seconds: number): string =>
	`${clock(seconds * 1000)}.${Math.floor((seconds * 10) % 10)}`;

interface Column {
	readonly name: string;
	readonly head: string;
	readonly digits: number;
	readonly scale: number;
}

const COLUMNS: readonly Column[] = [
	column("flowLph", "flow L/h", 1),
	column("vacuumKpa", "vacuum kPa", 1),
	column("bowlTapKpa", "tap kPa", 1),
	column("supplyVolts", "supply V", 2),
	column("motorAmps", "motor A", 2),
	column("fuelC", "fuel °C", 1),
	column("caseC", "case °C", 1),
	column("levelFrom", "from %", 1, 100),
	column("levelTo", "to %", 1, 100),
	column("probe", "probe", 0),
	column("stop", "stop", 0),
	column("tray", "tray", 0),
	column("returnSeat", "return", 0),
	column("tubeSeat", "tube", 0),
	column("pressureSwitch", "pressure", 0),
	column("board", "board", 0),
	column("beatMode", "beat pin", 0),
	column("pulses", "pulses", 0),
];

function column(name: string, head: string, digits: number, scale = 1): Column {
	return { name, head, digits, scale };
}

/** Rows that are shown: these tenths of a second from the difference. */
const ROWS_TENTHS: ReadonlySet<number> = new Set([
	...[-20, -15, -10, -8, -6, -5, -4, -3, -2, -1, 0, 1, 2, 3, 5, 10],
]);

/** Channels that changed, in trade units, as many tables as 80 columns ask for. */
function readingLines({ atSeconds, readings }: DifferenceAnswer): Marked[] {
	const tenthsOf = (at: number) => Math.round((at - atSeconds) * 10);
	const rows = readings.filter(({ atSeconds: at }) => ROWS_TENTHS.has(tenthsOf(at)));
	const cells = COLUMNS.map(({ name, head, digits, scale }) => {
		const shown = rows.map(({ sensed }) => cellOf(sensed[name], digits, scale));
		return { head, shown, width: Math.max(head.length, ...shown.map((text) => text.length)) };
	}).filter(({ shown }) => shown.some((text) => text !== shown[0]));
	if (rows.length === 0) return [];
	if (cells.length === 0) return words("No reading changed around it.");
	const lines: Marked[] = [heading("Readings around it, those that changed:")];
	for (let from = 0; from < cells.length; ) {
		let [to, width] = [from, 6];
		for (; to < cells.length; to += 1) {
			width += 2 + (cells[to]?.width ?? 0);
			if (width > WIDTH && to > from) break;
		}
		const part = cells.slice(from, to);
		const line = (first: string, texts: readonly string[]) =>
			plain(
				[first.padStart(6), ...texts.map((text, i) => text.padStart(part[i]?.width ?? 0))].join(
					"  ",
				),
			);
		lines.push(
			line(
				"s",
				part.map(({ head }) => head),
			),
		);
		rows.forEach(({ atSeconds: at }, i) => {
			const tenths = tenthsOf(at);
			const label = `${tenths > 0 ? "+" : ""}${(tenths / 10).toFixed(1)}`;
			lines.push(
				line(
					label,
					part.map(({ shown }) => shown[i] ?? ""),
				),
			);
		});
		lines.push(plain(""));
		from = to;
	}
	return lines;
}

function cellOf(value: number | string | undefined, digits: number, scale: number): string {
	if (value === undefined) return "";
	// Noise around nothing has no sign.
	return typeof value === "number"
		? (scale * value).toFixed(digits).replace(/^-(0\.?0*)$/, "$1")
		: value;
}
