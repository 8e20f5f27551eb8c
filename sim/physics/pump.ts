// A small 12 V positive-displacement pump: its line of flow against pressure, how voltage and
// viscosity shift that line, what vacuum it can draw wet and dry, and its current. SI inside.
// Imports nothing. Figures by kind are common practice, no source; a data sheet overrides them.

export type PumpKind = "diaphragm" | "vane" | "gear" | "solenoid-pulse";

/** The line from free flow to dead head, at rated volts and in the fuel it is rated for. */
export interface PumpCurve {
	/** Flow at no pressure difference, m³/s. */
	readonly freeFlowM3s: number;
	/** Pressure difference at which no flow is left, Pa. */
	readonly deadHeadPa: number;
	/** Greatest vacuum at the inlet with liquid and with air in it, Pa below the atmosphere. */
	readonly wetSuctionPa: number;
	readonly drySuctionPa: number;
}

export interface PumpKindRow {
	readonly deadHeadKpa: number;
	readonly wetSuctionKpa: number;
	readonly drySuctionKpa: number;
	/** Relative change of free flow and of dead head per relative change of voltage. */
	readonly flowByVolts: number;
	readonly headByVolts: number;
	/** Dead head goes with viscosity to this power: what slips back through gaps slips slower. */
	readonly headByViscosity: number;
	/** Share of the running current that no pressure makes. A pulse coil's is set by its driver. */
	readonly idleShare: number;
	/** Share of the running current that dead head adds to free flow's. */
	readonly loadShare: number;
	/** Share of the running current that it draws on air. */
	readonly dryShare: number;
}

export const pumpKinds: Readonly<Record<PumpKind, PumpKindRow>> = {
	diaphragm: {
		deadHeadKpa: 200,
		wetSuctionKpa: 60,
		drySuctionKpa: 30,
		flowByVolts: 1,
		headByVolts: 1,
		headByViscosity: 0,
		idleShare: 0.9,
		loadShare: 0.6,
		dryShare: 0.8,
	},
	vane: {
		deadHeadKpa: 150,
		wetSuctionKpa: 55,
		drySuctionKpa: 25,
		flowByVolts: 1,
		headByVolts: 1,
		headByViscosity: 0.5,
		idleShare: 0.9,
		loadShare: 0.8,
		dryShare: 0.85,
	},
	gear: {
		deadHeadKpa: 250,
		wetSuctionKpa: 60,
		drySuctionKpa: 12,
		flowByVolts: 1,
		headByVolts: 1,
		headByViscosity: 1,
		idleShare: 0.85,
		loadShare: 1,
		dryShare: 0.75,
	},
	"solenoid-pulse": {
		deadHeadKpa: 45,
		wetSuctionKpa: 30,
		drySuctionKpa: 14,
		flowByVolts: 0.3,
		headByVolts: 2,
		headByViscosity: 0,
		idleShare: 1,
		loadShare: 0,
		dryShare: 1,
	},
};

/**
 * Free flow at another voltage, as a share of the rated: a straight line, never below 0.
 * @param voltsShare volts at the pump over rated volts; meant for 0.7 to 1.25
 */
export const freeFlowShare = (kind: PumpKindRow, voltsShare: number): number =>
	Math.max(0, 1 + kind.flowByVolts * (voltsShare - 1));

/** Dead head at another voltage, as a share of the rated, never below 0. */
export const deadHeadShare = (kind: PumpKindRow, voltsShare: number): number =>
	Math.max(0, 1 + kind.headByVolts * (voltsShare - 1));

/**
 * The same at another viscosity: thick fuel slips back less.
 * @param viscosityShare viscosity over that of the fuel it is rated for
 */
export const slipShare = (kind: PumpKindRow, viscosityShare: number): number =>
	viscosityShare ** kind.headByViscosity;

/**
 * Running current as a share of the rated one. A small pump's hydraulic power is a few per cent of
 * its electric, so that pressure hardly shows: 120 L/h at 30 kPa are 1 W of 22 W.
 * @param headShare pressure difference over dead head, 0 to 1
 * @param airShare share of air in what it moves, 0 to 1
 */
export function currentShare(kind: PumpKindRow, headShare: number, airShare: number): number {
	const wet = kind.idleShare + kind.loadShare * Math.max(0, headShare);
	return wet + airShare * (kind.dryShare - wet);
}
