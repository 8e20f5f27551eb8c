// What the guide of commissioning knows, what happens to it and what it asks for: shapes alone, for
// guide.ts and the terminal in front of it. Imports types.

import type { FillList, ProofNow } from "../../../firmware/commission/schemas.ts";
import type { Step } from "../../../firmware/commission/step-rows.ts";
import type { Senses, Status } from "../../../firmware/link/protocol.ts";
import type { Line, Row } from "./guide-words.ts";

/** How the controller stands, as one round of questions has it. */
export interface Look {
	readonly status: Pick<Status, "state" | "trips" | "order">;
	readonly now: ProofNow;
	/** Null where it was not asked for. */
	readonly rows: readonly Row[] | null;
	readonly fills: FillList | null;
	/** Why an acknowledgement would be refused. */
	readonly blocked: Senses["blocked"];
}

/** What the guide wants of the controller, one at a time. */
export type Send =
	| { readonly type: "begin"; readonly step: Step; readonly by: string }
	| { readonly type: "answer"; readonly values: Readonly<Record<string, number | string>> }
	| { readonly type: "end" }
	/** An attended polish from that tank and back into it. */
	| { readonly type: "order"; readonly tank: string; readonly litres: number }
	| { readonly type: "stop" }
	| { readonly type: "strike"; readonly fillSeq: number; readonly why: string };

export type GuideEvent =
	| { readonly type: "look"; readonly look: Look }
	| { readonly type: "typed"; readonly text: string }
	| { readonly type: "answered"; readonly accepted: boolean; readonly reasons: readonly string[] }
	/** It may have been done or not. */
	| { readonly type: "unanswered" }
	| { readonly type: "lost" }
	| { readonly type: "found"; readonly isNewBoot: boolean }
	| { readonly type: "quit" };

export type Phase =
	/** Finds out where things stand: at the beginning, and after a line that was lost. */
	| "resume"
	| "initials"
	/** The step is told and waits for the person. */
	| "offer"
	/** The controller is at it. */
	| "trial"
	| "order"
	| "tank"
	| "can"
	| "entries"
	/** The step has ended; the rig is not at rest yet. */
	| "settle"
	/** It has not passed. */
	| "after"
	| "over";

export interface GuideState {
	readonly phase: Phase;
	readonly by: string | null;
	readonly tank: string | null;
	/** Of the rig file. */
	readonly tanks: readonly string[];
	/** The only one that is wanted; null: all that are due. */
	readonly only: Step | null;
	readonly step: Step | null;
	/** Passed or left alone in this session. */
	readonly done: readonly Step[];
	readonly rows: readonly Row[];
	/** The list is to be asked for anew. */
	readonly isStale: boolean;
	readonly look: Look | null;
	/** The controller's last sentence on this step. */
	readonly said: string | null;
	/** What it asks for in it. */
	readonly asks: string | null;
	/** Typed so far. */
	readonly values: Readonly<Record<string, number | string>>;
	/** A value outside of its limits that is to be typed twice. */
	readonly doubted: number | null;
	/** Litres of one fill. */
	readonly canLitres: number | null;
	/** Looks since its order was taken; null: none was. */
	readonly orderedLooks: number | null;
	/** Looks since the step ended. */
	readonly settledLooks: number;
	readonly isStopped: boolean;
	/** Codes of trips that were told. */
	readonly toldTrips: string;
	/** The step that is settling has passed. */
	readonly hasPassed: boolean | null;
	readonly sent: Send | null;
	/** The line is lost. */
	readonly isLost: boolean;
	/** The person ends it: what was sent for that. */
	readonly leaving: { readonly isStopped: boolean; readonly isEnded: boolean } | null;
	/** How many fills were told. */
	readonly fillsTold: string;
}

export interface Turn {
	readonly state: GuideState;
	readonly lines: readonly Line[];
	readonly send: Send | null;
}

export function beginGuide(
	options: Pick<GuideState, "by" | "tank" | "tanks" | "only">,
): GuideState {
	return {
		...options,
		phase: "resume",
		step: null,
		done: [],
		rows: [],
		isStale: true,
		look: null,
		said: null,
		asks: null,
		values: {},
		doubted: null,
		canLitres: null,
		orderedLooks: null,
		settledLooks: 0,
		isStopped: false,
		toldTrips: "",
		hasPassed: null,
		sent: null,
		isLost: false,
		leaving: null,
		fillsTold: "",
	};
}
