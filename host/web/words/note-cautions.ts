// What to mind with each kind of note, apart from the notes' schemas, so that a page has the words
// without loading those. Imports types alone.

import type { NoteKind } from "../../archive/note.ts";

/** What to mind where a hand comes near fuel: said with the note. */
export const cautions: Readonly<Record<NoteKind, string>> = {
	uplift:
		"Never petrol: unknown fuel is treated as petrol. Let fuel from cans stand a day and look at " +
		"it first.",
	dose: "Dose by the maker's label. Dead growth plugs elements for days: look more often.",
	sample:
		"Gloves and eye protection on, no flame. Only a sample or a lab's count may say clean, and " +
		"only of what was sampled.",
	"element-change":
		"Isolator off and locked, gloves and eye protection on, no flame, absorbent at hand; refill " +
		"the bowl; prove the water probe wet.",
	drained: "Water and sludge go into a closed container: never overboard, never down a drain.",
	"spare-elements": "A spare counts when its seals are with it and its rating is that of the rig.",
	waste: "Waste goes to a licensed facility: never overboard, never down a drain.",
	"spot-map": "Isolator off before the tube is moved, absorbent under it, gloves on, no flame.",
	spots:
		"Isolator off before the tube is moved. A moved tube ends the arming: after the set-up " +
		"check, arm it at the rig again.",
	engine: "No engine draws from a tank that is polished or swept, nor until its fuel has stood.",
};
