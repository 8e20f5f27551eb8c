// Ways of the wires on a sheet: straight across a gap where both ends stand in one row, else over a
// vertical track in the gap, through free rows of the columns between. No two wires lie on each
// other. Pure; in rows, columns and tracks, without a millimetre.

import type { Net, Netlist } from "../netlist.ts";
import { type Port, portsOf, rowAfter, type Sheet } from "./sheet-plan.ts";

/** A wire's part in one gap. Track null: straight across. */
export interface Route {
	readonly net: Net;
	/** Right of the column of this number. */
	readonly gap: number;
	readonly track: number | null;
	/** Rows at the gap's left and right side. */
	readonly left: readonly number[];
	readonly right: readonly number[];
}

/** Where a wire goes on behind a column's boxes, in a row that is free. */
export interface Pass {
	readonly net: Net;
	readonly column: number;
	readonly row: number;
}

/** An end whose wire is not drawn on this sheet any further. */
export interface Tag {
	readonly net: Net;
	readonly port: Port;
}

export interface Routes {
	readonly routes: readonly Route[];
	readonly passes: readonly Pass[];
	readonly tags: readonly Tag[];
	readonly ports: readonly Port[];
	/** Words for what found no way; empty when all did. */
	readonly blocked: readonly string[];
}

export const gapOf = ({ column, side }: Port): number => (side === "right" ? column : column - 1);

interface Bundle {
	readonly net: Net;
	readonly left: number[];
	readonly right: number[];
}

export function routesOf(sheet: Sheet, list: Netlist, tracks: (gap: number) => number): Routes {
	const ports = portsOf(sheet);
	const gaps: Array<Map<Net, Bundle>> = sheet.columns.slice(1).map(() => new Map());
	const passes: Pass[] = [];
	const tags: Tag[] = [];
	const blocked: string[] = [];
	const bundleIn = (gap: number, net: Net): Bundle => {
		const map = gaps[gap];
		const bundle = map?.get(net) ?? { net, left: [], right: [] };
		map?.set(net, bundle);
		return bundle;
	};
	for (const net of list.nets) {
		const own = ports.filter(({ end }) => list.netAt.get(end) === net);
		const isDrawn = own.length > 1 && net.bar === undefined;
		if (!isDrawn) {
			tags.push(...own.map((port) => ({ net, port })));
			continue;
		}
		for (const port of own)
			bundleIn(gapOf(port), net)[port.side === "right" ? "left" : "right"].push(port.row);
		const used = [...new Set(own.map(gapOf))].sort((a, b) => a - b);
		for (const [i, to] of used.slice(1).entries()) {
			const from = used[i] ?? to;
			const row = passRow(sheet, own, from, to);
			if (row === null) {
				blocked.push(`net ${net.net} finds no free row from gap ${from} to ${to}`);
				continue;
			}
			for (let column = from + 1; column <= to; column += 1) {
				passes.push({ net, column, row });
				bundleIn(column - 1, net).right.push(row);
				bundleIn(column, net).left.push(row);
			}
		}
	}
	const routes = gaps.flatMap((map, gap) => {
		const settled = settle([...map.values()], gap, tracks(gap));
		if (settled === null) blocked.push(`gap ${gap} has too few tracks`);
		return settled ?? [];
	});
	return { routes, passes, tags, ports, blocked };
}

/** A row in which nothing stands in the columns between two gaps: one of the wire's own. */
function passRow(sheet: Sheet, own: readonly Port[], from: number, to: number): number | null {
	const rows = own.filter((p) => [from, to].includes(gapOf(p))).sort((a, b) => gapOf(b) - gapOf(a));
	const isFree = (row: number) =>
		sheet.columns
			.slice(from + 1, to + 1)
			.every(({ boxes }) => !boxes.some((box) => box.row <= row && row < rowAfter(box)));
	return rows.map(({ row }) => row).find(isFree) ?? null;
}

const rowsOf = ({ left, right }: Bundle) => [...left, ...right];
const isStraight = (bundle: Bundle) => new Set(rowsOf(bundle)).size === 1;

/** Whether two wires on these tracks would lie on each other. */
function collide(a: Bundle, trackA: number, b: Bundle, trackB: number): boolean {
	const [low, high] = [Math.min(...rowsOf(a)), Math.max(...rowsOf(a))];
	const [from, to] = [Math.min(...rowsOf(b)), Math.max(...rowsOf(b))];
	if (trackA === trackB && low <= to && from <= high) return true;
	// In one row the left wire has to turn off before the right one comes in.
	if (a.left.some((row) => b.right.includes(row)) && trackA >= trackB) return true;
	return b.left.some((row) => a.right.includes(row)) && trackB >= trackA;
}

/** Gives each bent wire a track, by trying; null when there is no way. */
function settle(bundles: readonly Bundle[], gap: number, tracks: number): Route[] | null {
	const straight = bundles.filter(isStraight);
	const bent = bundles
		.filter((bundle) => !isStraight(bundle))
		.sort((a, b) => Math.min(...rowsOf(a)) - Math.min(...rowsOf(b)));
	const chosen: number[] = [];
	const place = (i: number): boolean => {
		const bundle = bent[i];
		if (bundle === undefined) return true;
		for (let track = 0; track < tracks; track += 1) {
			const clash = bent
				.slice(0, i)
				.some((other, j) => collide(bundle, track, other, chosen[j] ?? 0));
			if (clash) continue;
			chosen[i] = track;
			if (place(i + 1)) return true;
		}
		return false;
	};
	if (!place(0)) return null;
	return [
		...straight.map((bundle) => ({ ...bundle, gap, track: null })),
		...bent.map((bundle, i) => ({ ...bundle, gap, track: chosen[i] ?? 0 })),
	];
}
