// What a user has typed of hooks, checked before the night in which they are needed: a program that
// can be run, an address that stays on this computer unless it is said that it need not. Imports
// Node's files.

import { accessSync, constants, statSync } from "node:fs";
import { isIPv4 } from "node:net";
import { delimiter, join, resolve, sep } from "node:path";
import { InputError } from "../../firmware/config/input-error.ts";

/** As commander hands them over. */
export interface HookOptions {
	readonly onTrip?: string;
	readonly webhook?: string;
	readonly webhookAnywhere?: boolean;
	readonly tellAgainMinutes?: number;
}

export interface HookSettings {
	/** Path of the program; null for none. */
	readonly command: string | null;
	readonly webhook: URL | null;
	/** Null: each trip is told once. */
	readonly againMs: number | null;
}

/** @returns null where none is set @throws InputError */
export function hookSettings(options: HookOptions): HookSettings | null {
	const { onTrip, webhook, webhookAnywhere = false, tellAgainMinutes } = options;
	if (onTrip === undefined && webhook === undefined) {
		if (webhookAnywhere) throw missing("--webhook-anywhere", "--webhook URL beside it");
		if (tellAgainMinutes !== undefined) {
			throw missing("--tell-again-minutes", "--on-trip CMD or --webhook URL beside it");
		}
		return null;
	}
	return {
		command: onTrip === undefined ? null : programAt(onTrip),
		webhook: webhook === undefined ? null : webhookAt(webhook, webhookAnywhere),
		againMs: tellAgainMinutes === undefined ? null : tellAgainMinutes * 60_000,
	};
}

function missing(file: string, allowed: string): InputError {
	return new InputError([{ file, found: "nothing to tell it to", allowed }]);
}

/** Whole, since the folder that it is started in may be another one. */
function programAt(typed: string): string {
	// Elsewhere names have endings that the system adds.
	if (process.platform === "win32") return typed;
	const hasFolder = typed.includes(sep);
	const folders = hasFolder ? [""] : (process.env.PATH ?? "").split(delimiter);
	const found = folders.map((folder) => resolve(join(folder, typed))).find(isProgram);
	if (found !== undefined) return found;
	const allowed = "a program's path or name, without arguments: it is run without a shell";
	throw new InputError([{ file: "--on-trip", found: typed, allowed }]);
}

function isProgram(path: string): boolean {
	try {
		accessSync(path, constants.X_OK);
		return statSync(path).isFile();
	} catch {
		return false;
	}
}

function webhookAt(typed: string, anywhere: boolean): URL {
	const refuse = (allowed: string) =>
		new InputError([{ file: "--webhook", found: typed, allowed }]);
	const url = URL.canParse(typed) ? new URL(typed) : null;
	if (url === null || (url.protocol !== "http:" && url.protocol !== "https:")) {
		throw refuse("an address as http://127.0.0.1:8080/trips");
	}
	if (url.username !== "" || url.password !== "") throw refuse("one without name and password");
	if (!anywhere && !isLoopback(url.hostname)) {
		throw refuse("127.0.0.1, [::1] or localhost; with --webhook-anywhere another computer");
	}
	return url;
}

/** `URL` has brought other ways of writing an address into the usual one. */
const isLoopback = (host: string): boolean =>
	host === "localhost" || host === "[::1]" || (isIPv4(host) && host.startsWith("127."));
