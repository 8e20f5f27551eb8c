// The answer of `lees size` as a page that a skipper can read aloud: warnings first, then a table a
// tank, wiring, what was assumed, cautions. Width 80. Made from the answer alone.

import { type FigureName, figureNames, figureRows, type Spread } from "../sizing/figures.ts";
import type { SizedCase, SizingResult, Warning } from "../sizing/result.ts";
import { limitWords } from "../sizing/suction-margin.ts";
import { wrap } from "./account.ts";
import type { Marked } from "./bench-account.ts";

const WIDTH = 80;
const LABEL = 34;
const COLUMN = 23;

const NO_CURE =
	"None of the cures tried is enough: hose and tube of up to 16 mm, a pump as low as the " +
	"deepest tank's top. It takes another pump, or warmer fuel.";

const plain = (text: string): Marked => ({ mark: "plain", text });
const heading = (text: string): Marked => ({ mark: "heading", text });
const paragraph = (text: string): Marked[] => wrap(text, WIDTH).map(plain);

export function sizeAccount(result: SizingResult): Marked[] {
	const { rig, invented, draws, seed, cases, warnings, cautions } = result;
	const tanks = [...new Set(cases.map(({ tank }) => tank))];
	return [
		plain(`Seed ${seed}, ${draws} draws`),
		{ mark: "title", text: `Sizing of ${rig}${invented ? " (invented)" : ""}`.slice(0, WIDTH) },
		...paragraph(result.estimate),
		...paragraph("Beside each figure the range that eight draws of ten fall into (p10 to p90)."),
		plain(""),
		heading(warnings.length === 0 ? "NO WARNINGS" : "WARNINGS"),
		...warnings.flatMap(warningLines),
		...tanks.flatMap((name) => tankLines(cases.filter(({ tank }) => tank === name))),
		plain(""),
		heading("HOW TO READ IT"),
		...notes(result).flatMap(bullet).map(plain),
		plain(""),
		...wiringLines(result),
		plain(""),
		heading("WHAT THIS RESTS ON (± is one standard deviation)"),
		...assumptionLines(result),
		plain(""),
		heading("BEFORE ANYTHING ELSE"),
		...cautions.flatMap((text) => bullet(text)).map(plain),
	];
}

function warningLines({ code, text, cures }: Warning): Marked[] {
	const lines = bullet(text).map((line): Marked => ({ mark: "trip", text: line }));
	const suction = code === "does-not-lift" || code.startsWith("suction-");
	const none = suction ? [NO_CURE] : [];
	const said = cures.length > 0 ? [`Cure, worked out: ${cures.join("; or ")}.`] : none;
	return [
		...lines,
		...said.flatMap((words) => wrap(words, WIDTH - 4)).map((s) => plain(`    ${s}`)),
	];
}

const bullet = (text: string): string[] =>
	wrap(text, WIDTH - 2).map((line, i) => (i === 0 ? `- ${line}` : `  ${line}`));

function tankLines(cases: readonly SizedCase[]): Marked[] {
	const [first] = cases;
	if (first === undefined) return [];
	const litres = amount(first.litres, 0);
	const heads = cases.map(({ season, celsius }) => `${season.toUpperCase()} ${celsius} °C`);
	const title = `TANK ${first.tank.toUpperCase()}, ${litres} L`.slice(0, LABEL - 1).padEnd(LABEL);
	return [
		plain(""),
		heading(`${title}${heads.map((head) => head.padStart(COLUMN)).join("")}`),
		...figureNames.map((name) => {
			const { label, unit } = figureRows[name];
			const words = unit === "" ? label : `${label}, ${unit}`;
			const cells = cases.map(({ figures }) => cell(name, figures[name]).padStart(COLUMN));
			return plain(`${words.padEnd(LABEL)}${cells.join("")}`);
		}),
		...marginLines(cases),
	];
}

/** Which limit each margin is up to: one as a rule, whatever season and element. */
function marginLines(cases: readonly SizedCase[]): Marked[] {
	const words = cases.flatMap(({ season, limits }) =>
		(["clean", "change"] as const).map((element) => {
			const { name, kpa } = limits[element];
			const limit = `${limitWords[name]}, ${amount(kpa, 0)} kPa`;
			return { limit, when: `${season}, ${element === "clean" ? "clean" : "at change-out"}` };
		}),
	);
	const limits = [...new Set(words.map(({ limit }) => limit))];
	const said = limits.map((limit) => {
		const when = words.filter((one) => one.limit === limit).map((one) => one.when);
		return limits.length === 1 ? limit : `${when.join("; ")}: ${limit}`;
	});
	return said.flatMap((text, i) =>
		wrap(`${i === 0 ? "Margin up to: " : ""}${text}.`, WIDTH - 2).map((line) => plain(`  ${line}`)),
	);
}

function cell(name: FigureName, { value, p10, p90 }: Spread): string {
	const { digits } = figureRows[name];
	if (p10 === p90) return amount(value, digits);
	return `${amount(value, digits)} (${amount(p10, digits)} to ${amount(p90, digits)})`;
}

function amount(value: number | null, digits: number): string {
	if (value === null) return "never";
	const text = value.toFixed(Math.abs(value) >= 1_000 ? 0 : digits);
	return Number(text) === 0 ? text.replace("-", "") : text;
}

function notes({ assumptions, electrics }: SizingResult): string[] {
	const given = (what: string) => assumptions.find((one) => one.what === what)?.value ?? 0;
	const micron = given("drops to settle");
	return [
		"Turnovers to 5 % and 1 % left: what is left of the dirt if the tank mixed as the mixing " +
			"factor says. An estimate, never `clean`. At the clean element's flow.",
		`Settling: the time in which water drops of ${micron} µm fall through all of the fuel, which ` +
			"the bowl lets by at this flow (its spin left out); 0 where it catches them. Finer haze " +
			"takes longer still.",
		`An element lasts so many litres while the fuel stays at ${given("dirt in the fuel")} ` +
			"mg/L; the tank's own dirt becomes less as it is polished.",
		"Priming: fuel reaches the bowl through an empty tube and hose, element clean, bowl filled.",
		`Charge: of a session of ${given("session by the clock")} h by the clock, the pump at rest ` +
			`as its duty asks; the current goes up to ${electrics.amps.toFixed(2)} A at change-out.`,
	];
}

function wiringLines({ electrics }: SizingResult): Marked[] {
	const { amps, cableMm2, dropVolts, dropPct, mm2Under3Pct, mm2Under10Pct } = electrics;
	const { ampacityA, fuseA, fuseFitA } = electrics;
	const size = (mm2: number | null) => (mm2 === null ? "none in the table" : `${mm2} mm²`);
	const rating = (value: number | null) => (value === null ? "none" : `${value} A`);
	const row = (name: string, value: string) => plain(`${name.padEnd(LABEL)}${value}`);
	return [
		heading("WIRING"),
		row("Largest steady current", `${amps.toFixed(2)} A`),
		row("Drop in the cable, there and back", `${dropVolts.toFixed(2)} V, ${dropPct.toFixed(1)} %`),
		row("Conductor of the rig file", size(cableMm2)),
		row("Smallest conductor under 3 %", size(mm2Under3Pct)),
		row("Smallest conductor under 10 %", size(mm2Under10Pct)),
		row("The cable carries", rating(ampacityA)),
		row("Fuse of the rig file", rating(fuseA)),
		row("Smallest fuse that would do", rating(fuseFitA)),
	];
}

function assumptionLines({ assumptions }: SizingResult): Marked[] {
	return assumptions.flatMap(({ what, value, unit, spread, from }) => {
		const figure = `${value}${unit === "" ? "" : ` ${unit}`}${spread === "" ? "" : ` ± ${spread}`}`;
		const left = `${what.padEnd(LABEL)}${figure}`.padEnd(LABEL + 18);
		const right = wrap(from, WIDTH - LABEL - 18);
		return right.map((text, i) => plain(`${i === 0 ? left : " ".repeat(LABEL + 18)}${text}`));
	});
}
