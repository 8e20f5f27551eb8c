// In CI a command that draws is told its seed, or refused: what fails there must be what anybody
// can play again, and a fixed seed that nobody sees would pass for one. Throws InputError.

import { InputError } from "../../firmware/config/input-error.ts";

/** As most build services set `CI`. */
const isCi = (): boolean => !["", "0", "false"].includes(process.env.CI ?? "");

/**
 * The seed or seeds as they were given, or the usual ones outside of CI.
 * @param option as it is typed
 * @throws InputError in CI, where none was given
 */
export function statedSeed<T>(option: string, given: T | undefined, usual: T): T {
	if (given !== undefined || !isCi()) return given ?? usual;
	const allowed = "a stated one where CI is set, so that a failure can be played again";
	throw new InputError([{ file: option, found: "no seed", allowed }]);
}
