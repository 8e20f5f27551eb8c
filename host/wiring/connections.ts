// Who is connected with whom once every contact is closed: walks over nets and through parts. A
// load is the end of a walk, a fuse or a switch is not. Pure.

import { endOf, type Net, type Netlist } from "./netlist.ts";
import { rowOf } from "./part-kinds.ts";

export interface Walk {
	/** Nets that are reached, the first one among them. */
	readonly nets: ReadonlySet<Net>;
	/** Parts that a current has gone through, in the order in which they were reached. */
	readonly parts: readonly string[];
}

/**
 * All that a current reaches from a terminal.
 * @param stopsAt parts that nothing goes through
 */
export function walkFrom(
	list: Netlist,
	start: string,
	stopsAt: (part: string) => boolean = () => false,
): Walk {
	const nets = new Set<Net>();
	const parts: string[] = [];
	const queue = [list.netAt.get(start)];
	for (let net = queue.shift(); net !== undefined || queue.length > 0; net = queue.shift()) {
		if (net === undefined || nets.has(net)) continue;
		nets.add(net);
		for (const end of net.ends) {
			const { id, part, terminal } = endOf(list, end);
			if (stopsAt(id)) continue;
			for (const pair of rowOf(part.kind).through ?? []) {
				if (!pair.some((one) => one === terminal)) continue;
				const far = pair[0] === terminal ? pair[1] : pair[0];
				if (!parts.includes(id)) parts.push(id);
				queue.push(list.netAt.get(`${id}.${far}`));
			}
		}
	}
	return { nets, parts };
}

/** Whether a current gets from one terminal to the other. */
export function isReached(
	list: Netlist,
	from: string,
	to: string,
	stopsAt?: (part: string) => boolean,
): boolean {
	const net = list.netAt.get(to);
	return net !== undefined && walkFrom(list, from, stopsAt).nets.has(net);
}

/**
 * Parts without any one of which nothing gets from `from` to `to`, in the order of the way; empty
 * where there is no way at all.
 */
export function seriesBetween(list: Netlist, from: string, to: string): string[] {
	if (!isReached(list, from, to)) return [];
	return walkFrom(list, from).parts.filter((cut) => !isReached(list, from, to, (id) => id === cut));
}

/** What a load takes while it works, A. */
export function loadAmps(list: Netlist, id: string): number {
	const part = list.parts[id];
	return part?.runAmps ?? part?.coilAmps ?? part?.amps ?? 0;
}

/** Loads whose plus is on one of the nets. */
export function loadsOn(list: Netlist, nets: ReadonlySet<Net>): string[] {
	return Object.entries(list.parts).flatMap(([id, { kind }]) => {
		const plus = rowOf(kind).load?.[0];
		const net = plus === undefined ? undefined : list.netAt.get(`${id}.${plus}`);
		return net !== undefined && nets.has(net) ? [id] : [];
	});
}
