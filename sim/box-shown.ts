// What a person at the box has seen and heard of it: how often each lamp lit up and the horn
// sounded, as the board's pins drove them and the parts really answered. Imports the seam's types.

import type { Outputs } from "../firmware/board/port.ts";
import type { BuildFault } from "./build-faults.ts";

export class BoxShown {
	/** How often each began, since the box was switched on. */
	pumpLamp = 0;
	tripLamp = 0;
	horn = 0;
	private was = { pump: false, trip: false, horn: false };
	private readonly isDark: boolean;
	private readonly isSilent: boolean;

	constructor(builtWrong: readonly BuildFault[]) {
		this.isDark = builtWrong.includes("trip-lamp-dark");
		this.isSilent = builtWrong.includes("horn-silent");
	}

	drive(outputs: Outputs): void {
		const { was } = this;
		const { "lamp-pump": pump, "lamp-trip": trip, horn } = outputs;
		if (pump === was.pump && trip === was.trip && horn === was.horn) return;
		if (pump && !was.pump) this.pumpLamp += 1;
		if (trip && !was.trip && !this.isDark) this.tripLamp += 1;
		if (horn && !was.horn && !this.isSilent) this.horn += 1;
		was.pump = pump;
		was.trip = trip;
		was.horn = horn;
	}
}
