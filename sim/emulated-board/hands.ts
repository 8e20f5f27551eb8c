// What a person at the emulated rig can do, a word a line: press the box's button, hold it, press
// and release the stop button, drain and refill the bowl, press the board's reset, all that proving
// a rig asks for, and look at box and instruments. Real time; imports the rig's acts and the wired
// board's types.

import { handActs, isHandAct } from "../hand-acts.ts";
import { Instruments } from "../instruments.ts";
import type { RigModel } from "../rig.ts";
import type { WiredBoard } from "./wiring.ts";

/** A button is down for so long, ms. */
const PRESS_MS = 400;
const HOLD_MS = 3_500;

const ownWords = {
	press: "the box's button: acknowledges, or says that somebody is there",
	hold: "the same for 3.5 s: arms",
	stop: "the stop button",
	release: "turns the stop button to release it",
	drain: "opens the bowl's drain: what has settled in it goes into a container",
	fill: "refills the bowl from the can",
	reset: "the board's reset button",
	"seat-return": "puts the return back into its filler and locks it",
	"seat-tube": "seats the tube's head",
	"lower-tube": "puts the tube's foot back into the fuel",
	"wet-probe": "lets water into the bowl by its vent, up to the probe",
	"dry-tray": "soaks up what is in the tray",
	seen: "tells how often each lamp lit up and the horn sounded since you last asked",
	read: "reads clamp meter, multimeter, thermometer, barometer, dip stick and can",
} as const;
type OwnWord = keyof typeof ownWords;

/** All words, and what each does. */
export const handWords: Readonly<Record<string, string>> = {
	...ownWords,
	...Object.fromEntries(Object.entries(handActs).map(([name, { what }]) => [name, what])),
};

const isOwn = (text: string): text is OwnWord => Object.hasOwn(ownWords, text);

export class Hands {
	private readonly model: RigModel;
	private readonly wired: WiredBoard;
	private readonly instruments: Instruments;
	private told = { pumpLamp: 0, tripLamp: 0, horn: 0 };

	constructor(model: RigModel, wired: WiredBoard) {
		this.model = model;
		this.wired = wired;
		this.instruments = new Instruments(model, 0);
	}

	/** @returns what there is to tell, mostly nothing; null for a word that nobody knows */
	lend(text: string): string | null {
		const { model } = this;
		if (isHandAct(text)) {
			handActs[text].does(model);
			return "";
		}
		if (!isOwn(text)) return null;
		const acts: Readonly<Record<OwnWord, () => unknown>> = {
			press: () => this.press(PRESS_MS),
			hold: () => this.press(HOLD_MS),
			stop: () => this.pressStop(true),
			release: () => this.pressStop(false),
			drain: () => void model.path.drainBowl(),
			fill: () => model.path.fillBowl(),
			reset: () => this.wired.life.reset(),
			"seat-return": () => this.seatReturn(),
			"seat-tube": () => model.puts({ tubeLifted: false }),
			"lower-tube": () => model.mends("tube-lifted"),
			"wet-probe": () => model.path.bowl.wet(),
			"dry-tray": () => {
				model.path.trayLitres = 0;
			},
			seen: () => this.seen(),
			read: () => this.read(),
		};
		const told = acts[text]();
		return typeof told === "string" ? told : "";
	}

	private press(ms: number): void {
		this.model.buttonPressed = true;
		setTimeout(() => {
			this.model.buttonPressed = false;
		}, ms);
	}

	private pressStop(isDown: boolean): void {
		this.model.stopPressed = isDown;
	}

	private seatReturn(): void {
		this.model.mends("return-out");
		this.model.puts({ returnLifted: false });
	}

	private seen(): string {
		const { pumpLamp, tripLamp, horn } = this.model.shown;
		const { told } = this;
		this.told = { pumpLamp, tripLamp, horn };
		const [pump, trip] = [pumpLamp - told.pumpLamp, tripLamp - told.tripLamp];
		return `seen lamp-pump ${pump}, lamp-trip ${trip}, horn ${horn - told.horn}`;
	}

	private read(): string {
		const names = ["clampAmps", "meterVolts", "thermometerC", "airHpa"] as const;
		const more = ["dipFrom", "dipTo", "canLitres"] as const;
		const values = [...names, ...more].map((name) => `${name} ${this.instruments[name]}`);
		return `read ${values.join(", ")}`;
	}
}
