// Tick inputs of a run on their way from the process of an emulated board to the one that asked for
// it: messages between processes are JSON, and a run has a million numbers.

import { deflateRawSync, inflateRawSync } from "node:zlib";
import { Tape } from "../../firmware/log/tape.ts";
import { packTicks, TICKS_PACKED, unpackTicks } from "../../firmware/log/tape-bytes.ts";
import type { KeptBoot } from "../bench/session.ts";

/** A boot as plain JSON; each piece is a minute of ticks, deflated, in base64. */
export interface BootMessage {
	readonly nowMs: number;
	readonly recordsBefore: number;
	readonly channels: readonly string[];
	readonly pieces: readonly string[];
}

export function packBoots(boots: readonly KeptBoot[]): BootMessage[] {
	return boots.map(({ nowMs, recordsBefore, tape }) => {
		const pieces: string[] = [];
		for (let from = 0; from < tape.length; from += TICKS_PACKED) {
			const packed = packTicks(tape, from, Math.min(tape.length, from + TICKS_PACKED));
			pieces.push(deflateRawSync(packed, { level: 3 }).toString("base64"));
		}
		return { nowMs, recordsBefore, channels: tape.channels, pieces };
	});
}

export function unpackBoots(boots: readonly BootMessage[]): KeptBoot[] {
	return boots.map(({ nowMs, recordsBefore, channels, pieces }) => {
		const tape = new Tape(channels);
		for (const piece of pieces) unpackTicks(inflateRawSync(Buffer.from(piece, "base64")), tape);
		return { nowMs, recordsBefore, tape };
	});
}
