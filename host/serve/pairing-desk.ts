// Where a page is paired: the controller shows the code and checks it, and such a session may
// order; while there is no controller this computer's terminal shows one, and such a session may
// only write notes. All clients together have few tries.

import { Pairing } from "../../firmware/link/pairing.ts";
import { drawCode } from "../link/pairing-code.ts";
import type { LiveLink } from "./live-link.ts";
import type { Level } from "./sessions.ts";
import { TryLimits } from "./try-limits.ts";

export interface Shown {
	readonly isShown: boolean;
	readonly waitSeconds: number;
	readonly at: "controller" | "server";
}

export type Checked =
	| { readonly outcome: "right"; readonly may: Level; readonly storeId: string | null }
	| { readonly outcome: "wrong"; readonly triesLeft: number }
	| { readonly outcome: "locked"; readonly waitSeconds: number };

/** A person shows one, and one more when the first has run out. */
const SHOWS = { perMinute: 6 };
/**
 * Locked for a minute after five wrong codes, then for two, four and so on up to an hour: some 90
 * tries in a night of twelve hours. A code has 10⁶ forms, so that whoever guesses all night finds
 * one with a chance of 1 in 11,000.
 */
const CHECKS = { perMinute: 10, failuresToLock: 5, lockMs: 60_000, lockMsMax: 3_600_000 };

export interface DeskParts {
	/** Null where there is no controller to ask. */
	readonly link: LiveLink | null;
	/** Puts a code where a person at this computer sees it. */
	readonly showHere: (code: string) => void;
	readonly clock: () => number;
}

export class PairingDesk {
	private readonly parts: DeskParts;
	private readonly own: Pairing;
	private readonly shows = new TryLimits(SHOWS);
	private readonly checks = new TryLimits(CHECKS);
	/** Who has shown the last code. */
	private at: Shown["at"] = "server";

	constructor(parts: DeskParts) {
		this.parts = parts;
		const { showHere: show, clock } = parts;
		this.own = new Pairing({ draw: drawCode, show, clock });
	}

	/** @throws LinkAway, NoAnswer or InputError as the link does */
	async show(): Promise<Shown> {
		const at = this.controller === null ? "server" : "controller";
		const waitMs = this.shows.take(this.parts.clock());
		if (waitMs > 0) return { isShown: false, waitSeconds: Math.ceil(waitMs / 1000), at };
		const shown = await (this.controller?.call("pair.show", {}) ?? this.own.show());
		if (shown.isShown) this.at = at;
		return { ...shown, at };
	}

	/** @throws LinkAway, NoAnswer or InputError as the link does */
	async check(code: string): Promise<Checked> {
		const waitMs = this.checks.take(this.parts.clock());
		if (waitMs > 0) return { outcome: "locked", waitSeconds: Math.ceil(waitMs / 1000) };
		const { link } = this.parts;
		const isHere = this.at === "server" || link === null;
		// Of that very controller: another one may have come by the time of the answer.
		const storeId = isHere ? null : link.storeId;
		const { isRight, triesLeft } = isHere
			? this.own.check(code)
			: await link.call("pair.check", { code });
		if (isRight) {
			this.checks.succeed();
			return { outcome: "right", may: isHere ? "note" : "order", storeId };
		}
		this.checks.fail(this.parts.clock());
		return { outcome: "wrong", triesLeft };
	}

	/** The controller while it answers and knows of codes. */
	private get controller(): LiveLink | null {
		const { link } = this.parts;
		return link?.isUp === true && link.knows("pair.show") ? link : null;
	}
}
