// The rig file as the link gives it away, part by part, since it is longer than a frame. Imports
// Node's hash.

import { createHash } from "node:crypto";
import type { Result } from "./protocol.ts";

/** A part as JSON in UTF-8: its frame must fit, with what stands around it, bytes. */
const PART_BYTES_MAX = 800;
const STEP = 400;

export class RigText {
	private readonly text: string;
	private readonly revision: string;

	/** @param text of the rig file, as it was read */
	constructor(text: string) {
		this.text = text;
		this.revision = createHash("sha256").update(text).digest("hex").slice(0, 16);
	}

	/** @returns at least one character, unless the text ends there */
	part(offset: number): Result<"rig.read"> {
		const { text, revision } = this;
		let part = text.slice(offset, offset + STEP);
		while (Buffer.byteLength(JSON.stringify(part)) > PART_BYTES_MAX) {
			part = part.slice(0, Math.ceil(part.length / 2));
		}
		return { revision, length: text.length, text: part };
	}
}
