// The board of `lees control` that is an io plugin of johnny-five: a module of the user's own,
// found from the rig file's folder, this folder or the project, and loaded only here. It is code
// with the controller's rights: the rig file may name it, but only the command line asks for it.

import { createRequire } from "node:module";
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { openPluginBoard, type PluginParts } from "../../firmware/board/plugin.ts";
import type { Board } from "../../firmware/board/port.ts";
import { InputError, messageOf } from "../../firmware/config/input-error.ts";
import type { Rig } from "../../firmware/config/rig.ts";
import { projectRoot } from "./root.ts";

interface Asked extends Pick<PluginParts, "pins" | "clock" | "notFitted"> {
	readonly rigFile: string;
	readonly rig: Rig;
}

/** @param spec `plugin` for what the rig file names, or `plugin:MODULE` @throws InputError */
export async function openPlugin(
	spec: string,
	{ rigFile, rig, pins, clock, notFitted }: Asked,
): Promise<Board> {
	const typed = spec.slice("plugin:".length);
	const name = typed === "" ? rig.board?.plugin : typed;
	if (name === undefined) {
		const allowed = "plugin:MODULE, or a rig file whose board names a plugin";
		throw new InputError([{ file: "--board", found: spec, allowed }]);
	}
	const from = typed === "" ? resolve(rigFile) : join(process.cwd(), "here");
	const Made = classOf(await load(name, from));
	if (Made === null) {
		const allowed = "a module whose default export is the plugin's class";
		throw new InputError([{ file: `plugin ${name}`, found: "no class in it", allowed }]);
	}
	// Another plugin than the rig file's knows nothing of its options.
	const options = name === rig.board?.plugin ? rig.board.options : {};
	const make = () => new Made(options);
	return openPluginBoard({ make, name, pins, clock, ...(notFitted && { notFitted }) });
}

async function load(name: string, from: string): Promise<unknown> {
	const file = `plugin ${name}`;
	const allowed = "a package that is installed, or the path of a module";
	const found = resolved(name, from) ?? resolved(name, join(projectRoot, "package.json"));
	if (found === null) throw new InputError([{ file, found: "no such module", allowed }]);
	try {
		return await import(pathToFileURL(found).href);
	} catch (error) {
		// Who asked for it inside of this program helps nobody.
		const why = messageOf(error).replace(/ imported from .*/s, "");
		throw new InputError([{ file, found: why, allowed: "a module that loads" }]);
	}
}

function resolved(name: string, from: string): string | null {
	try {
		return createRequire(from).resolve(name);
	} catch {
		return null;
	}
}

type Constructor = new (options: object) => unknown;

/** Of a module in either of the two forms: what it exports by default, or is. */
function classOf(module: unknown): Constructor | null {
	const { default: made } = module as { default?: unknown };
	const inner = (made as { default?: unknown } | undefined)?.default;
	const found = [made, inner].find((value) => typeof value === "function");
	return (found as Constructor | undefined) ?? null;
}
