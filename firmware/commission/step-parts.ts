// What the rows of the catalogue have in common: what a step has where its row says nothing, and
// the cautions for fuel. Imports nothing.

export const ALL = { needs: [], figures: [], proofTests: [], everyDays: null } as const;

export const FUEL =
	"Fuel burns: no flame, no spark, fresh air. Tray and absorbent in place, hand at the stop " +
	"button.";
