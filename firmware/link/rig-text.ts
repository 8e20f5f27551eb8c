// The rig file as the link gives it away, part by part, since it is longer than a frame. Imports
// Node's hash.

import { createHash } from "node:crypto";
import { cutTo } from "../frame-text.ts";
import type { Result } from "./protocol.ts";

/** A part as its frame has it: what stands around it takes a hundred more, bytes. */
const PART_BYTES_MAX = 800;

export class RigText {
	private readonly text: string;
	private readonly revision: string;

	/** @param text of the rig file, as it was read */
	constructor(text: string) {
		this.text = text;
		this.revision = createHash("sha256").update(text).digest("hex").slice(0, 16);
	}

	/**
	 * Parts that are asked for one behind the other never end within a character: whoever decodes
	 * each by itself may put them together.
	 * @returns at least one character, unless the text ends there
	 */
	part(offset: number): Result<"rig.read"> {
		const { text, revision } = this;
		const ahead = text.slice(offset, offset + PART_BYTES_MAX);
		return { revision, length: text.length, text: cutTo(ahead, PART_BYTES_MAX) };
	}
}
