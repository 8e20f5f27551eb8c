// The seam between the controller and anything with pins: a real board, an emulated one, a model.
// It carries channels named in the pin map, never a fixed list of sensors.

/**
 * One input channel as the board reports it.
 * `raw`: ADC or register counts, 0 or 1 for a digital input, the running count of a pulse input.
 * `ageMs`: since the board last confirmed it; an input that never reported has no entry.
 */
export interface Reading {
	readonly raw: number;
	readonly ageMs: number;
}

/**
 * By channel name. A name that is missing has never been reported. Besides the pin map's channels
 * there are two that a board reports of itself:
 * `board`: raw 1 while the outputs read back as they were driven, 0 while they do not and for a
 * second after the board has begun anew; its age is the time since the board last answered at all.
 * `beat-mode`: raw 1 while the beat's pin reads back as a plain output, 0 when it could make edges
 * by itself.
 */
export type Readings = Readonly<Record<string, Reading>>;

/** Every output channel, in the order in which its level stands in a tape's bits. */
export const outputNames = [
	"pump-demand",
	"dead-man-beat",
	"lamp-pump",
	"lamp-trip",
	"horn",
	"probe-plus",
	"probe-minus",
] as const;

export type OutputName = (typeof outputNames)[number];

/** Levels of the output channels, by name; true is high. */
export type Outputs = Readonly<Record<OutputName, boolean>>;

export const ALL_OFF: Outputs = {
	"pump-demand": false,
	"dead-man-beat": false,
	"lamp-pump": false,
	"lamp-trip": false,
	horn: false,
	"probe-plus": false,
	"probe-minus": false,
};

export interface Board {
	read(nowMs: number): Readings;
	drive(outputs: Outputs): void;
}
