// The cautions that many steps have alike: with the pump's plug out, and near fuel. Imports
// nothing.

export const NO_FUEL = "Keep fuel away. The motor's plug stays out until a step asks for the pump.";

export const FUEL =
	"Fuel burns: no flame, no spark, fresh air. Tray and absorbent in place, hand at the stop " +
	"button.";
