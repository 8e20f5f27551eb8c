// The people of a campaign. While faults strike there is nobody, or one who stays at the rig, says
// so at the button, and presses stop at a spill. Afterwards somebody mends all that is broken and
// sees to it that the order finishes. Acts through the crew, which keeps what was done.

import type { RigModel } from "../../rig.ts";
import { CALM } from "../../sea.ts";
import { Presence } from "../caretaker.ts";
import type { CrewAct, CrewAction } from "../crew-schema.ts";
import type { Session } from "../session.ts";
import type { Story } from "./story-draw.ts";
import { chargedVolts } from "./world-draw.ts";

/** Spill that somebody beside it sees, L. */
const SEEN_LITRES = 0.02;
/** Fuel is warm enough for any rig, °C. */
const WARM_C = 12;

export class CampaignCrew {
	private readonly story: Story;
	private readonly model: RigModel;
	private readonly session: Session;
	private readonly presence: Presence | null;
	private spillS = Number.POSITIVE_INFINITY;

	constructor(story: Story, model: RigModel, session: Session) {
		this.story = story;
		this.model = model;
		this.session = session;
		this.presence = story.attended ? new Presence(session) : null;
	}

	/** A second while faults strike. */
	attend(atS: number): void {
		if (this.presence === null) return;
		this.presence.second(atS);
		const { litresSpilled } = this.model.path.truth;
		if (litresSpilled > SEEN_LITRES && this.spillS > atS) this.spillS = atS;
		if (atS === this.spillS + this.story.seesAfterS) this.does("press-stop");
	}

	/** All that is broken is mended, and the weather is kind. */
	mend(): void {
		const { model, session } = this;
		session.crew.isSpared = true;
		for (const action of ["mend", "release-stop", "close-isolator", "dry-tray"] as const) {
			this.does(action);
		}
		this.adds({ does: "change-battery", volts: chargedVolts(model.rig) });
		const isCold = model.fuel.celsius < WARM_C;
		const weather = { sea: { ...CALM }, ...(isCold ? { fuelC: WARM_C } : {}) };
		session.crew.addsWeather(weather, session.nowMs);
		if (session.isDead) this.does("restart-controller");
	}

	/** From now on somebody brings the order to its end. */
	seesToIt(): void {
		this.does("see-to-it");
	}

	private does(action: CrewAction): void {
		this.adds({ does: action });
	}

	private adds(act: CrewAct): void {
		this.session.crew.adds(act, this.session.nowMs);
	}
}
