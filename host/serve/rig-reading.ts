// The rig file over the link, part by part, and checked as the controller checks it. One that this
// program cannot read is told with the reason: a newer controller may know more than we.

import { InputError } from "../../firmware/config/input-error.ts";
import { type Rig, readRig } from "../../firmware/config/rig.ts";
import { NoAnswer } from "../link/client.ts";
import type { SteadyLink } from "../link/steady-link.ts";

export interface RigRead {
	readonly rig: Rig | null;
	/** Why there is none. */
	readonly why: string;
}

/** A rig file of twelve tanks has some 10,000 characters. */
const LENGTH_MAX = 200_000;
/** One that is changed while it is read is read anew, so often. */
const ROUNDS_MAX = 3;

/** @returns null when the line was lost on the way */
export async function readRigOverLink(link: SteadyLink): Promise<RigRead | null> {
	if (!link.hello.methods.includes("rig.read")) {
		return { rig: null, why: "the controller is an older one and does not tell its rig file" };
	}
	try {
		return { rig: readRig(await readRigText(link), "the controller's rig file"), why: "" };
	} catch (error) {
		if (error instanceof NoAnswer) return null;
		if (!(error instanceof InputError)) throw error;
		return { rig: null, why: error.message };
	}
}

/** @throws InputError when it cannot be had whole */
export async function readRigText({ client }: SteadyLink): Promise<string> {
	for (let round = 0; round < ROUNDS_MAX; round += 1) {
		let text = "";
		let revision: string | null = null;
		for (;;) {
			const part = await client.call("rig.read", { offset: text.length });
			revision ??= part.revision;
			if (part.revision !== revision) break;
			text += part.text;
			if (part.length > LENGTH_MAX) throw unreadable(`${part.length} characters`);
			if (text.length >= part.length) return text;
			if (part.text === "") throw unreadable("a text that ends too early");
		}
	}
	throw unreadable("a text that changes while it is read");
}

function unreadable(found: string): InputError {
	const allowed = `a text of at most ${LENGTH_MAX} characters`;
	return new InputError([{ file: "the controller's rig file", found, allowed }]);
}
