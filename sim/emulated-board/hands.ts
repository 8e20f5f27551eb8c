// What a person at the emulated rig can do, a word a line: press the box's button, hold it, press
// and release the stop button, drain and refill the bowl, press the board's reset. Real time;
// imports the wired board's types.

import type { RigModel } from "../rig.ts";
import type { WiredBoard } from "./wiring.ts";

/** A button is down for so long, ms. */
const PRESS_MS = 400;
const HOLD_MS = 3_500;

export const handWords = {
	press: "the box's button: acknowledges, or says that somebody is there",
	hold: "the same for 3.5 s: arms",
	stop: "the stop button",
	release: "turns the stop button to release it",
	drain: "opens the bowl's drain: what has settled in it goes into a container",
	fill: "refills the bowl from the can",
	reset: "the board's reset button",
} as const;
type Word = keyof typeof handWords;

const isWord = (text: string): text is Word => Object.hasOwn(handWords, text);

/** @returns false for a word that nobody knows */
export function lendHand(text: string, model: RigModel, wired: WiredBoard): boolean {
	if (!isWord(text)) return false;
	const pressFor = (ms: number) => {
		model.buttonPressed = true;
		setTimeout(() => {
			model.buttonPressed = false;
		}, ms);
	};
	const acts: Readonly<Record<Word, () => void>> = {
		press: () => pressFor(PRESS_MS),
		hold: () => pressFor(HOLD_MS),
		stop: () => {
			model.stopPressed = true;
		},
		release: () => {
			model.stopPressed = false;
		},
		drain: () => void model.path.drainBowl(),
		fill: () => model.path.fillBowl(),
		reset: () => wired.life.reset(),
	};
	acts[text]();
	return true;
}
