// Group 11: the check sum and the framing that the link uses. What the project does not use has no
// function here; its rows stay unanswered, with the reason.

import { SlipEncoder } from "serialport";
import { sealed } from "../../../firmware/link/framing.ts";
import { type Adapter, type Inputs, LeftOut } from "../adapter.ts";

const ALL_BYTES = Buffer.from(Array.from({ length: 256 }, (_, i) => i));

/** How the rows describe the link's own check sum. */
const OURS = /poly 04C11DB7 init FFFFFFFF reflected xorout FFFFFFFF/i;

/** The link's CRC-32, as the rows write it; rows of another check sum are left out. */
function crcWord({ parameters }: Inputs, payload: Buffer): string | LeftOut {
	if (!OURS.test(String(parameters))) return new LeftOut("the project uses CRC-32/ISO-HDLC alone");
	const crc = sealed(payload).readUInt32LE(payload.length);
	return `0x${crc.toString(16).toUpperCase().padStart(8, "0")}`;
}

/** The frame around bytes by serialport's encoder, as the link's writer makes it. */
function framed(payloadHex: string, bluetoothQuirk: boolean): string {
	const encoder = new SlipEncoder({ bluetoothQuirk });
	const parts: Buffer[] = [];
	encoder.on("data", (part: Buffer) => parts.push(part));
	encoder.write(Buffer.from(payloadHex, "hex"));
	encoder.resume();
	return Buffer.concat(parts).toString("hex");
}

const frames = (inputs: Inputs, leading: boolean): unknown => {
	const raw = inputs.raw_hex;
	if (Array.isArray(raw)) return raw.map((hex: unknown) => framed(String(hex), leading));
	return framed(String(raw), leading);
};

/** Says why rows with those inputs have no function of ours. */
const unused = (needs: readonly string[], field: RegExp, why: string): Adapter => ({
	group: 11,
	needs,
	answers: {},
	patterns: [{ field, answer: () => new LeftOut(why) }],
});

export const codesAdapters: readonly Adapter[] = [
	{
		group: 11,
		needs: ["parameters", "data_ascii"],
		answers: {
			check: (inputs) => crcWord(inputs, Buffer.from(String(inputs.data_ascii), "ascii")),
			crc_of_empty: (inputs) => crcWord(inputs, Buffer.alloc(0)),
			crc_of_single_00: (inputs) => crcWord(inputs, Buffer.alloc(1)),
			"crc_of_00..FF": (inputs) => crcWord(inputs, ALL_BYTES),
		},
	},
	{
		group: 11,
		needs: ["raw_hex", "END", "ESC"],
		answers: {
			framed_no_leading_END_hex: (inputs) => frames(inputs, false),
			framed_with_leading_END_hex: (inputs) => frames(inputs, true),
		},
	},
	unused(["raw_hex"], /^encoded_hex$/, "the link frames by SLIP; nothing in the project uses COBS"),
	unused(["body_between_$_and_*"], /_hex$/, "nothing in the project reads NMEA 0183"),
	unused([], /./, "firmata-io keeps these numbers inside; the project has no copy of its own"),
];
