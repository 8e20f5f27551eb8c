// Charts of the last minutes and of the run: flow, vacuum, current and supply, each on its own axis
// in the reader's unit, and the same as a table.

import { useMemo, useState } from "preact/hooks";
import { Button } from "../kit/button.tsx";
import { Chart } from "../kit/chart.tsx";
import { useChoices } from "../kit/choices.ts";
import { Table } from "../kit/table.tsx";
import type { Point, Series } from "../scene.ts";
import { figure, inUnit, type Kind, measure, numeral, type Taste, unitOf } from "../units.ts";
import { words } from "../words/words.ts";

type Quantity = "flowLph" | "vacuumKpa" | "motorAmps" | "supplyVolts";

interface Drawn {
	readonly key: Quantity;
	readonly kind: Kind;
	readonly name: string;
	readonly digits: number;
	readonly fromZero: boolean;
}

const ROWS_MAX = 12;

export function Charts({ series }: { readonly series: Series }) {
	const [which, setWhich] = useState<keyof Series>("recent");
	const { charts } = words().live;
	const points = series[which];
	return (
		<div class="charts">
			<div class="row">
				<Button onPress={() => setWhich("recent")} isPressed={which === "recent"}>
					{charts.recent}
				</Button>
				<Button onPress={() => setWhich("run")} isPressed={which === "run"}>
					{charts.run}
				</Button>
			</div>
			{points.length < 2 ? <p>{charts.none}</p> : <Drawings points={points} which={which} />}
		</div>
	);
}

function Drawings({ points, which }: { points: readonly Point[]; which: keyof Series }) {
	const { charts } = words().live;
	const taste = useChoices();
	const x = useMemo(() => minutesOf(points, which), [points, which]);
	const drawn: readonly Drawn[] = [
		{ key: "flowLph", kind: "flow", name: charts.flow, digits: 0, fromZero: true },
		{ key: "vacuumKpa", kind: "vacuum", name: charts.vacuum, digits: 0, fromZero: true },
		{ key: "motorAmps", kind: "amps", name: charts.current, digits: 1, fromZero: true },
		{ key: "supplyVolts", kind: "volts", name: charts.supply, digits: 1, fromZero: false },
	];
	const xTitle = which === "recent" ? charts.minutesAgo : charts.minutesIn;
	return (
		<>
			<div class="chart-grid">
				{drawn.map((one) => (
					<One key={one.key} drawn={one} points={points} x={x} xTitle={xTitle} taste={taste} />
				))}
			</div>
			<p class="hint">{charts.gap}</p>
			<details class="more">
				<summary>{words().kit.asTable}</summary>
				<AsTable drawn={drawn} points={points} x={x} xTitle={xTitle} />
			</details>
		</>
	);
}

interface OneProps {
	readonly drawn: Drawn;
	readonly points: readonly Point[];
	readonly x: readonly number[];
	readonly xTitle: string;
	readonly taste: Taste;
}

function One({ drawn: { key, kind, name, digits, fromZero }, points, x, xTitle, taste }: OneProps) {
	const { charts } = words().live;
	const y = useMemo(
		() => points.map((point) => (point[key] === null ? null : inUnit(kind, point[key], taste))),
		[points, key, kind, taste],
	);
	return (
		<Chart
			title={charts.named(name, unitOf(kind, taste))}
			summary={summaryOf(points, key, kind, taste)}
			xTitle={xTitle}
			x={x}
			y={y}
			digits={digits}
			fromZero={fromZero}
		/>
	);
}

function summaryOf(points: readonly Point[], key: Quantity, kind: Kind, taste: Taste): string {
	const { charts } = words().live;
	const known = points.flatMap((point) => point[key] ?? []);
	const last = points.at(-1)?.[key] ?? null;
	if (known.length === 0) return charts.noValue;
	const least = known.reduce((a, b) => Math.min(a, b));
	const most = known.reduce((a, b) => Math.max(a, b));
	const now = last === null ? charts.noValue : figure(kind, last, taste);
	return charts.range(figure(kind, least, taste), figure(kind, most, taste), now);
}

/** Minutes before the last point, or since the first one. */
function minutesOf(points: readonly Point[], which: keyof Series): number[] {
	const from = (which === "recent" ? points.at(-1) : points[0])?.monoMs ?? 0;
	return points.map(({ monoMs }) => (monoMs - from) / 60_000);
}

interface AsTableProps {
	readonly drawn: readonly Drawn[];
	readonly points: readonly Point[];
	readonly x: readonly number[];
	readonly xTitle: string;
}

/** Some rows, evenly taken, the last point among them. */
function AsTable({ drawn, points, x, xTitle }: AsTableProps) {
	const { charts } = words().live;
	const taste = useChoices();
	const step = Math.max(1, Math.ceil(points.length / ROWS_MAX));
	const picked = points.flatMap((point, i) =>
		(points.length - 1 - i) % step === 0 ? [{ point, minutes: x[i] ?? 0 }] : [],
	);
	const rows = picked.map(({ point, minutes }) => [
		numeral(minutes, 1),
		...drawn.map(({ key, kind }) => {
			const value = point[key];
			return value === null ? charts.noValue : measure(kind, value, taste);
		}),
	]);
	const columns = [
		{ head: xTitle, isNumber: true },
		...drawn.map(({ name }) => ({ head: name, isNumber: true })),
	];
	return <Table caption={charts.heading} hidesCaption columns={columns} rows={rows} />;
}
