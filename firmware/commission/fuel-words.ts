// The cautions that many steps have alike: with the pump's plug out, and near fuel. Imports
// nothing.

export const NO_FUEL = "No fuel is near. The motor's plug is out until the step that asks for it.";

export const FUEL =
	"Fuel burns: no flame, no spark, fresh air. Tray and absorbent in place, hand at the stop " +
	"button.";
