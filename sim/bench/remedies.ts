// What a crew does at the rig about the trips that are open, before anybody presses the box's
// button: as the trip catalogue tells its reader. Shared by whoever sees to an order and whoever
// proves the rig.

import type { TripCode } from "../../firmware/cycle/trips.ts";
import type { RigModel } from "../rig.ts";
import type { CrewAction } from "./crew-schema.ts";
import type { Session } from "./session.ts";

/** Dirt in the element beyond which it is changed while the bowl is open, share of its limit. */
const DIRTY_SHARE = 0.25;
/** Trips at which the element is changed, and those at which the bowl is opened and refilled. */
const PLUGGED: readonly TripCode[] = ["restriction-high", "suction-blocked"];
const OPENS: readonly TripCode[] = [...PLUGGED, "tank-vent-blocked", "dry-run", "prime-failed"];

export class Remedies {
	private readonly model: RigModel;
	private readonly session: Session;
	private readonly does: (action: CrewAction) => void;

	constructor(model: RigModel, session: Session, does: (action: CrewAction) => void) {
		this.model = model;
		this.session = session;
		this.does = does;
	}

	/**
	 * One after the other, at the crew's own pace.
	 * @param known trips that the crew itself has caused, whose cause it has taken away
	 */
	forTrips(known: readonly TripCode[] = []): Array<() => void> {
		const open = this.session.cycle.context.trips.map(({ code }) => code);
		const codes = open.filter((code) => !known.includes(code));
		const isWet = codes.includes("water-in-bowl") || this.model.waterAtProbeS !== null;
		const isPlugged = codes.some((code) => PLUGGED.includes(code));
		const opens = isWet || codes.some((code) => OPENS.includes(code));
		return [
			...(opens ? [() => this.does("open-isolator")] : []),
			...(isWet ? [() => this.wetProbe(), () => this.does("drain-bowl")] : []),
			...(isPlugged ? [() => this.does("change-element")] : []),
			...(opens ? [() => this.fillBowl(), () => this.does("close-isolator"), () => {}] : []),
		];
	}

	/** A drain counts only if the probe is seen to go from wet to dry: water is poured in. */
	private wetProbe(): void {
		const trip = this.session.cycle.context.trips.find(({ code }) => code === "water-in-bowl");
		if (trip === undefined || trip.drainSeen || this.model.waterAtProbeS !== null) return;
		this.does("wet-probe");
	}

	private fillBowl(): void {
		const { element } = this.model.path;
		const dirtyKg = (DIRTY_SHARE * this.model.rig.element.dirtToChangeGrams) / 1e3;
		if (element.dirtKg > dirtyKg) this.does("change-element");
		this.does("fetch-can");
		this.does("fill-bowl");
	}
}
