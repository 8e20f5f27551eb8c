// The scene of a page as text: made once for all pages, and the session of each put into it. Pure
// but for the clock of what it is made from.

import { eventLines } from "../report/event-lines.ts";
import type { SceneNow, Session } from "../web/scene.ts";
import type { LiveLink } from "./live-link.ts";

type Shared = Omit<SceneNow, "session">;

const NO_PORT: Shared = {
	source: "rig",
	rig: null,
	boot: null,
	link: { isUp: false, heardAgoMs: null, why: "this server was started without a controller" },
	status: null,
	senses: null,
	events: [],
};

/** Makes the part that is the same for every page. */
export class SceneText {
	private readonly link: LiveLink | null;
	private eventsOf: unknown = null;
	private events: SceneNow["events"] = [];

	constructor(link: LiveLink | null) {
		this.link = link;
	}

	/** JSON that lacks its end: `withSession` adds it. */
	get shared(): string {
		return JSON.stringify(this.link === null ? NO_PORT : this.sceneOf(this.link)).slice(0, -1);
	}

	private sceneOf(link: LiveLink): Shared {
		const { rig, seen, isUp, heardAgoMs, why } = link;
		const ago = heardAgoMs === null ? null : Math.round(heardAgoMs);
		const linkState = { isUp, heardAgoMs: ago, why };
		if (seen === null) return { ...NO_PORT, rig, link: linkState };
		// They are put into words again only when there are others.
		if (this.eventsOf !== seen.records) {
			this.eventsOf = seen.records;
			this.events = eventLines(seen.records, seen.status.pulsesPerLitre, seen.clock);
		}
		const { boot, status, senses } = seen;
		return { source: "rig", rig, boot, link: linkState, status, senses, events: this.events };
	}
}

export const withSession = (shared: string, session: Session): string =>
	`${shared},"session":${JSON.stringify(session)}}`;
