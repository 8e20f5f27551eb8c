// The options of a command that tells ashore what happens aboard. Imports commander's types and the
// readers of values; what the options mean is checked when the command begins.

import type { Command } from "commander";
import { minutes } from "./option-values.ts";

/** Hands over what `hookSettings` reads. */
export function hookOptions(command: Command): Command {
	return command
		.option("--on-trip <CMD>", "program to run at a trip, an order's end, a lost controller")
		.option("--webhook <URL>", "address on this computer that is told of the same, by POST")
		.option("--webhook-anywhere", "let the webhook's address be on another computer")
		.option("--tell-again-minutes <N>", "tell a trip again while it stays open", minutes);
}
