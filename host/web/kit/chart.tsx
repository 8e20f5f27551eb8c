// A chart of one quantity over time, with its least, greatest and last value in words beside it.
// One line a chart, so that nothing has to be told apart by colour. The picture is uPlot's, on a
// canvas: what is in it, a table beside it says to who cannot see it.

import { useEffect, useRef } from "preact/hooks";
import UPlot from "uplot";
import "uplot/dist/uPlot.min.css";
import { numeral } from "../units.ts";
import { useLight } from "./light.ts";
import { digitsOf } from "./tick-digits.ts";

export interface ChartProps {
	readonly title: string;
	/** Least, greatest and last, in words. */
	readonly summary: string;
	readonly xTitle: string;
	readonly x: readonly number[];
	/** In the reader's unit; null where nothing was known: a gap. */
	readonly y: ReadonlyArray<number | null>;
	/** Digits at the ticks of the upright axis. */
	readonly digits?: number;
	readonly height?: number;
	/** The upright axis begins at 0. */
	readonly fromZero?: boolean;
}

export function Chart(props: ChartProps) {
	const { title, summary, x, y, height = 150 } = props;
	const light = useLight();
	const place = useRef<HTMLDivElement>(null);
	const plot = useRef<UPlot | null>(null);
	const { xTitle, digits = 0, fromZero = true } = props;

	useEffect(() => {
		const { current } = place;
		if (current === null) return;
		const look = lookOf(current);
		const drawn = new UPlot(
			optionsOf({ xTitle, digits, fromZero, look, height, width: current.clientWidth }),
			[[], []],
			current,
		);
		plot.current = drawn;
		const observer = new ResizeObserver(() => {
			drawn.setSize({ width: current.clientWidth, height });
		});
		observer.observe(current);
		return () => {
			observer.disconnect();
			drawn.destroy();
			plot.current = null;
		};
		// `light` is asked for since the colours are read when it is drawn.
	}, [light, xTitle, digits, fromZero, height]);

	useEffect(() => {
		plot.current?.setData([[...x], [...y]]);
	}, [light, x, y, xTitle, digits, fromZero, height]);

	return (
		<figure class="chart">
			<figcaption>
				<strong>{title}</strong> <span class="hint">{summary}</span>
			</figcaption>
			<div ref={place} class="chart-place" aria-hidden="true" />
		</figure>
	);
}

interface Look {
	readonly ink: string;
	readonly soft: string;
	readonly font: string;
}

function lookOf(element: HTMLElement): Look {
	const style = getComputedStyle(element);
	const { fontFamily } = style;
	return {
		ink: style.getPropertyValue("--ink").trim(),
		soft: style.getPropertyValue("--line").trim(),
		font: `14px ${fontFamily}`,
	};
}

interface Asked {
	readonly xTitle: string;
	readonly digits: number;
	readonly fromZero: boolean;
	readonly look: Look;
	readonly width: number;
	readonly height: number;
}

function optionsOf({ xTitle, digits, fromZero, look, width, height }: Asked): UPlot.Options {
	const { ink, soft, font } = look;
	const axis = { stroke: ink, font, grid: { stroke: soft, width: 0.5 }, ticks: { stroke: soft } };
	const ticks =
		(places: number) => (_: UPlot, values: number[], __: number, ___: number, step: number) =>
			values.map((value) => numeral(value, Math.max(places, digitsOf(step))));
	return {
		width,
		height,
		legend: { show: false },
		cursor: { show: false },
		scales: {
			x: { time: false },
			y: { range: (_, least, most) => rangeOf(least, most, fromZero) },
		},
		axes: [
			{ ...axis, label: xTitle, labelFont: font, labelSize: 20, size: 30, values: ticks(0) },
			{ ...axis, size: 56, space: 18, values: ticks(digits) },
		],
		series: [{}, { stroke: ink, width: 2, spanGaps: false, points: { show: false } }],
	};
}

/** A line that stands still has room above and below it. */
function rangeOf(least: number | null, most: number | null, fromZero: boolean): [number, number] {
	const low = fromZero ? Math.min(0, least ?? 0) : (least ?? 0);
	const high = Math.max(most ?? 1, low);
	const room = Math.max(0.08 * (high - low), 0.02 * Math.abs(high), 0.1);
	return [fromZero && low === 0 ? 0 : low - room, high + room];
}
