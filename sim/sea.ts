// The sea: the boat rolls in groups of waves, and the fuel's surface stays level in the tank, so
// that it falls away from a tube that stands off the middle. Quasi-static: no slosh of its own.

export interface SeaState {
	/** Roll to one side in the highest waves of a group, degrees. */
	readonly rollDeg: number;
	/** Natural period of the roll, s. */
	readonly periodS: number;
}

export const CALM: SeaState = { rollDeg: 0, periodS: 5 };

/** Two waves whose periods differ by a ninth: groups of nine rolls, from all to a third. */
const GROUP = 9;
const SECOND = 1 / 3;

export class Sea {
	private readonly phase: number;
	private readonly radPerS: number;
	/** Share of the roll that one of the two waves' heights stands for, rad. */
	private readonly sideRad: number;

	/** @param phase 0 to 1, where in its group the sea begins */
	constructor(state: SeaState, phase: number) {
		this.phase = 2 * Math.PI * phase;
		this.radPerS = (2 * Math.PI) / state.periodS;
		this.sideRad = (state.rollDeg * Math.PI) / 180 / (1 + SECOND);
	}

	/** Roll angle, rad. */
	rollRad(atS: number): number {
		if (this.sideRad === 0) return 0;
		const turn = this.radPerS * atS + this.phase;
		return this.sideRad * (Math.sin(turn) + SECOND * Math.sin(turn * (1 + 1 / GROUP)));
	}
}
