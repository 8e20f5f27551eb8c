// The sensors that a rig may be without, and which of them one lacks. Apart from the rig file's
// schema, so that who only asks for their names does not load it. Imports nothing.

/** Sensors that a rig may lack; what it lacks is not watched, and coverage says so. */
export const optionalSensors = [
	"vacuum",
	"tray",
	"return-seat",
	"tube-seat",
	"pressure-switch",
	"level-from",
	"level-to",
	"fuel-temperature",
	"case-temperature",
	"bowl-tap",
] as const;

export type OptionalSensor = (typeof optionalSensors)[number];

/** The optional channels that a rig lacks: no board needs to ask them. */
export function notFitted(fitted: readonly OptionalSensor[]): OptionalSensor[] {
	return optionalSensors.filter((name) => !fitted.includes(name));
}
