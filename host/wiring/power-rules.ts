// The rules of power and cut-off: fuses and conductors, currents, flyback paths, the order of the
// contacts and the loop of K2. Each gives a line for what does not hold. Pure. Imports physics for
// what a conductor carries (ISO 10133's table, see there).

import { bundleShare, fuseFor, isoAmps } from "../../sim/physics/ampacity.ts";
import { isReached, loadAmps, loadsOn, seriesBetween, walkFrom } from "./connections.ts";
import { endOf, type Net, type Netlist, ofKind } from "./netlist.ts";
import { rowOf } from "./part-kinds.ts";

/** Insulation of the usual boat cable, and wires that carry current side by side in a box. */
const INSULATION_C = 70;
const BUNDLED = 7;
/** 0.5 mm² is below the standard's table. Common practice, no source. */
const THIN_AMPS: ReadonlyMap<number, number> = new Map([[0.5, 6]]);
/** A fuse's distance from the battery, m: 7 inches, ABYC E-11 (from memory). */
const FUSE_WITHIN_M = 0.18;
/** A fuse at rest carries four fifths of its rating without end (common practice, no source). */
const FUSE_SHARE = 0.8;

/** What a conductor carries in the box's bundle, A; 0 for a size that no table has. */
export const carriesAmps = (mm2: number): number =>
	(isoAmps(mm2, INSULATION_C) ?? THIN_AMPS.get(mm2) ?? 0) * bundleShare(BUNDLED);

const isFuse = (list: Netlist, id: string) => list.parts[id]?.kind === "fuse";
const nameOf = (list: Netlist, id: string) => `${list.parts[id]?.ref ?? "?"} ${id}`;
const netName = ({ net, name }: Net) => `net ${net} (${name})`;

export function fuseAtSource(list: Netlist): string[] {
	return Object.entries(list.parts).flatMap(([id, part]) =>
		(rowOf(part.kind).supplies ?? []).flatMap((terminal) => {
			if (part.limitAmps !== undefined) return [];
			const net = list.netAt.get(`${id}.${terminal}`);
			const others = (net?.ends ?? []).filter((end) => end !== `${id}.${terminal}`);
			const bare = others.filter((end) => {
				const { id: other, terminal: at } = endOf(list, end);
				return !isFuse(list, other) || at !== "in";
			});
			const far =
				part.kind === "battery" && (net?.metres ?? 0) > FUSE_WITHIN_M
					? [`${nameOf(list, id)}: its fuse is ${net?.metres} m away, over ${FUSE_WITHIN_M} m`]
					: [];
			return [...bare.map((end) => `${nameOf(list, id)}: ${end} has no fuse before it`), ...far];
		}),
	);
}

/** Fuse ids with the nets behind each, up to the next fuse. */
function zonesOf(list: Netlist): Array<readonly [fuse: string, nets: ReadonlySet<Net>]> {
	return ofKind(list, "fuse").map((fuse) => {
		const { nets } = walkFrom(list, `${fuse}.out`, (id) => isFuse(list, id));
		return [fuse, nets] as const;
	});
}

/** Amperes that may flow in a net: the largest fuse or limit whose current can come there. */
function guardAmps(list: Netlist): Map<Net, number> {
	const most = new Map<Net, number>();
	const raise = (net: Net | undefined, amps: number) => {
		if (net !== undefined) most.set(net, Math.max(most.get(net) ?? 0, amps));
	};
	for (const [fuse, nets] of zonesOf(list)) {
		const amps = list.parts[fuse]?.amps ?? 0;
		for (const net of nets) raise(net, amps);
		raise(list.netAt.get(`${fuse}.in`), amps);
	}
	for (const [id, { limitAmps }] of Object.entries(list.parts)) {
		if (limitAmps !== undefined) raise(list.netAt.get(`${id}.out`), limitAmps);
	}
	// What comes in at a load's plus leaves at its minus; at a switched one, on to the driver.
	for (const id of Object.keys(list.parts)) {
		const [plus, minus] = loadPair(list, id);
		const fed = most.get(list.netAt.get(`${id}.${plus}`) ?? NOWHERE);
		if (fed !== undefined) raise(list.netAt.get(`${id}.${minus}`), fed);
	}
	return most;
}
const NOWHERE: Net = { net: 0, name: "nowhere", function: "minus", ends: [] };
const loadPair = (list: Netlist, id: string) => {
	const kind = list.parts[id]?.kind;
	return (kind === undefined ? undefined : rowOf(kind).load) ?? ["", ""];
};

export function conductorForFuse(list: Netlist): string[] {
	return [...guardAmps(list)].flatMap(([net, amps]) => {
		if (net.function === "soldered" || net.function === "cable") return [];
		const carried = carriesAmps(net.mm2 ?? 0);
		if (carried >= amps) return [];
		const size = net.mm2 === undefined ? "no size" : `${net.mm2} mm²`;
		return [`${netName(net)}: ${size} carries ${carried} A, its fuse lets ${amps} A pass`];
	});
}

export function currentWithinRating(list: Netlist): string[] {
	const problems: string[] = [];
	for (const fuse of ofKind(list, "fuse")) {
		const { nets } = walkFrom(list, `${fuse}.out`, (id) => id === fuse);
		const sum = loadsOn(list, nets).reduce((amps, id) => amps + loadAmps(list, id), 0);
		const rating = list.parts[fuse]?.amps ?? 0;
		if (sum > FUSE_SHARE * rating) {
			const limit = `${FUSE_SHARE} of ${rating} A`;
			problems.push(`${nameOf(list, fuse)}: its loads take ${sum.toFixed(2)} A, over ${limit}`);
		}
	}
	for (const [id, { contactAmps, kind }] of Object.entries(list.parts)) {
		if (contactAmps === undefined) continue;
		const from = rowOf(kind).through?.[0]?.[1] ?? "";
		const { nets } = walkFrom(list, `${id}.${from}`, (other) => other === id);
		const sum = loadsOn(list, nets).reduce((amps, load) => {
			return amps + (list.parts[load]?.stallAmps ?? loadAmps(list, load));
		}, 0);
		if (sum > contactAmps) {
			problems.push(`${nameOf(list, id)}: cuts up to ${sum.toFixed(1)} A, rated ${contactAmps} A`);
		}
	}
	for (const id of ofKind(list, "driver")) {
		const net = list.netAt.get(`${id}.drain`);
		const sum = Object.keys(list.parts).reduce((amps, load) => {
			const minus = loadPair(list, load)[1];
			const isOn = net !== undefined && list.netAt.get(`${load}.${minus}`) === net;
			return isOn ? amps + loadAmps(list, load) : amps;
		}, 0);
		const rating = list.parts[id]?.amps ?? 0;
		if (sum > rating) problems.push(`${nameOf(list, id)}: switches ${sum} A, rated ${rating} A`);
	}
	return problems;
}

/** The main fuse also has to outlast the start of the motor; ISO 8820-3, see ampacity.ts. */
export function fuseOutlastsStart(list: Netlist): string[] {
	return ofKind(list, "motor").flatMap((motor) => {
		const { runAmps = 0, stallAmps = 0 } = list.parts[motor] ?? {};
		const fuses = seriesBetween(list, "battery.plus", `${motor}.plus`).filter((id) =>
			isFuse(list, id),
		);
		const net = list.netAt.get(`${motor}.plus`);
		const ampacityAmps = carriesAmps(net?.mm2 ?? 0);
		const fit = fuseFor({ runningAmps: runAmps, startAmps: stallAmps, ampacityAmps });
		return fuses.flatMap((id) => {
			const rating = list.parts[id]?.amps ?? 0;
			if (fit !== null && rating >= fit) return [];
			return [`${nameOf(list, id)}: ${rating} A may melt when ${motor} starts; ${fit} A would not`];
		});
	});
}

export function flybackPath(list: Netlist): string[] {
	const diodes = ofKind(list, "diode");
	return Object.entries(list.parts).flatMap(([id, { kind }]) => {
		const { isInductive = false, load } = rowOf(kind);
		if (!isInductive || load === undefined) return [];
		const [plus, minus] = load.map((terminal) => list.netAt.get(`${id}.${terminal}`));
		const fits = diodes.some(
			(diode) =>
				list.netAt.get(`${diode}.cathode`) === plus &&
				list.netAt.get(`${diode}.anode`) === minus &&
				(list.parts[diode]?.amps ?? 0) >= (list.parts[id]?.stallAmps ?? loadAmps(list, id)),
		);
		return fits ? [] : [`${nameOf(list, id)}: no flyback diode of its current across it`];
	});
}

/** Each in series with all that follows, whatever else is closed. */
const POWER_PATH = ["main-fuse", "isolator", "shunt", "contact-k2", "contact-k1"];

/** What hangs on the wires of the path; a diode or a lamp from elsewhere would feed the pump. */
const POWER_WIRES = [
	["shunt.out", "contact-k2.common"],
	["contact-k2.make", "contact-k1.common"],
	["contact-k1.make", "pump.plus", "pump-flyback.cathode"],
];

/** Ends on a wire that are not of it: no rule about contacts sees what they let through. */
const strangersOn = (
	list: Netlist,
	wires: readonly (readonly string[])[],
	isLet: (end: ReturnType<typeof endOf>) => boolean = () => false,
): string[] =>
	wires.flatMap((own) =>
		(list.netAt.get(own[0] ?? "")?.ends ?? [])
			.filter((end) => !own.includes(end) && !isLet(endOf(list, end)))
			.map((end) => `${end} hangs on the wire of ${own[0]}`),
	);

export function powerPathOrder(list: Netlist): string[] {
	const found = seriesBetween(list, "battery.plus", "pump.plus");
	// A load that draws from the path is for the shunt's rule; one that ends on it would feed it.
	const strangers = strangersOn(list, POWER_WIRES, ({ id, terminal }) => {
		return loadPair(list, id)[0] === terminal;
	});
	if (found.join() === POWER_PATH.join()) return strangers;
	const asked = POWER_PATH.join(", ");
	return [`from battery to pump: ${found.join(", ") || "no way"}; asked: ${asked}`, ...strangers];
}

/** The shunt sees the pump only: anything else would look like a welded contact. */
export function shuntForPumpOnly(list: Netlist): string[] {
	const { nets } = walkFrom(list, "shunt.out", (id) => id === "shunt");
	return loadsOn(list, nets)
		.filter((id) => list.parts[id]?.kind !== "motor")
		.map((id) => `${nameOf(list, id)}: its current goes through the shunt`);
}

const K2_LOOP = ["isolator", "control-fuse", "stop-button", "return-switch", "pressure-switch"];
/** A resistor or a diode from elsewhere would hold K2 past the contacts of its loop. */
const K2_WIRES = [
	["stop-button.pole-out", "return-switch.pole-in"],
	["return-switch.pole-out", "pressure-switch.pole-in"],
	["pressure-switch.pole-out", "contact-k2.coil-plus", "k2-flyback.cathode"],
];

export function k2Loop(list: Netlist): string[] {
	const coil = ["contact-k2.coil-plus", "contact-k2.coil-minus"] as const;
	const problems: string[] = [];
	const found = seriesBetween(list, "isolator.in", coil[0]);
	if (found.join() !== K2_LOOP.join()) {
		const asked = K2_LOOP.join(", ");
		problems.push(`before K2's coil: ${found.join(", ") || "no way"}; asked: ${asked}`);
	}
	for (const end of list.netAt.get(coil[1])?.ends ?? []) {
		if (![coil[1], "dead-man.coil", "k2-flyback.anode"].includes(end)) {
			problems.push(`${end} can hold K2 beside the dead-man`);
		}
	}
	problems.push(...strangersOn(list, K2_WIRES));
	if (!isReached(list, coil[1], "dead-man.coil")) problems.push("K2's coil misses the dead-man");
	return problems;
}

/** No spike may pass what the monitor stands, and no healthy supply may reach the suppressor. */
const SUPPLY_VOLTS_MAX = 15;

export function spikesHeld(list: Netlist): string[] {
	const net = list.netAt.get("isolator.out");
	const minus = list.netAt.get("battery.minus");
	const fit = ofKind(list, "suppressor").filter(
		(id) => list.netAt.get(`${id}.cathode`) === net && list.netAt.get(`${id}.anode`) === minus,
	);
	const stands = Math.min(
		...ofKind(list, "monitor").map((id) => list.parts[id]?.voltsMax ?? 0),
		Number.POSITIVE_INFINITY,
	);
	const good = fit.some((id) => {
		const { standoffVolts = 0, clampVolts = 0 } = list.parts[id] ?? {};
		return standoffVolts >= SUPPLY_VOLTS_MAX && clampVolts <= stands;
	});
	return good ? [] : [`no suppressor behind the isolator of ${SUPPLY_VOLTS_MAX} to ${stands} V`];
}
