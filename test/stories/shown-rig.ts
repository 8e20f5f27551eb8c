// What a link gives away of a rig that is not there: for tests and measurements of all else.
// Invented.

import { Pairing } from "../../firmware/link/pairing.ts";
import { RigText } from "../../firmware/link/rig-text.ts";

/** The code that is drawn. */
export const CODE = "123456";

export const SHOWN = {
	rigText: new RigText("rig: invented\n"),
	pairing: new Pairing({ draw: () => CODE, show: () => {}, clock: () => performance.now() }),
};

export const NO_SENSES = { monoMs: 0, commissioned: false, sensed: null, blocked: [] };
