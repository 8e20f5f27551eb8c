// The hooks of `lees serve`: they hear of each change that the link does, beside the pages, and
// have no way back to it.

import { InputError } from "../../firmware/config/input-error.ts";
import { type HookOptions, hookSettings } from "../bridges/hook-settings.ts";
import { TripHooks } from "../bridges/trip-hooks.ts";
import type { LiveLink } from "../serve/live-link.ts";

/**
 * To be asked for before anything is opened.
 * @returns null where no hook is set
 * @throws InputError
 */
export function hooksOf(
	port: string | undefined,
	options: HookOptions,
	tell: (line: string) => void,
): TripHooks | null {
	const settings = hookSettings(options);
	if (settings === null) return null;
	if (port === undefined) {
		const allowed = "a PORT: only a rig on a link has trips";
		throw new InputError([{ file: "--on-trip, --webhook", found: "no controller", allowed }]);
	}
	return new TripHooks(settings, { tell });
}

/** Whoever is told of the link's changes so far is told of them still. */
export function hearLink(hooks: TripHooks, link: LiveLink): void {
	const before = link.onChange;
	const hear = () => {
		const { isUp, heardAgoMs, why, seen } = link;
		hooks.onScene(seen?.status ?? null, { isUp, heardAgoMs, why }, seen?.rig ?? "");
	};
	link.onChange = () => {
		before();
		hear();
	};
	hear();
}
