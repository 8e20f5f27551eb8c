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
 * there is `board`: raw 1 while the outputs read back as they were driven, else 0; its age is the
 * time since the board last answered at all.
 */
export type Readings = Readonly<Record<string, Reading>>;

/** Levels of the output channels, by name; true is high. */
export interface Outputs {
	readonly "pump-demand": boolean;
	readonly "dead-man-beat": boolean;
	readonly "lamp-pump": boolean;
	readonly "lamp-trip": boolean;
	readonly horn: boolean;
}

export const ALL_OFF: Outputs = {
	"pump-demand": false,
	"dead-man-beat": false,
	"lamp-pump": false,
	"lamp-trip": false,
	horn: false,
};

export interface Board {
	read(nowMs: number): Readings;
	drive(outputs: Outputs): void;
}
