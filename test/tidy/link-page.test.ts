// firmware/link/PROTOCOL.md is what the code does: its tables come from the schemas, its dumps are
// the bytes on the line, and what its prose says in figures is what the code has.

import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import {
	BATCH_RECORDS_MAX,
	BODY_BYTES_MAX,
	decodeLogPayload,
	TEXT_BYTES_MAX,
} from "../../firmware/link/batch.ts";
import { FrameReader, PAYLOAD_BYTES_MAX } from "../../firmware/link/framing.ts";
import { PROTOCOL_VERSION, results } from "../../firmware/link/protocol.ts";
import { CHAIN_BEFORE, SAMPLE_TEXTS } from "../../host/report/link-dump.ts";
import { linkSections } from "../../host/report/link-page.ts";
import { withSection } from "../../host/report/tables.ts";
import { linked } from "../stories/link-rig.ts";
import { root } from "../stories/world.ts";

const page = readFileSync(join(root, "firmware/link/PROTOCOL.md"), "utf8");

describe("the link's page", () => {
	it.each(Object.entries(linkSections()))("carries %s as they are", (name, text) => {
		expect(withSection(page, name, text)).toBe(page);
	});

	it("names every method, and the version", () => {
		for (const method of Object.keys(results)) expect(page).toContain(`### \`${method}\``);
		expect(page).toContain(`# The link: protocol version ${PROTOCOL_VERSION}`);
	});

	it.each<[string, number]>([
		["bytes of a JSON payload", PAYLOAD_BYTES_MAX],
		["records of a batch", BATCH_RECORDS_MAX],
		["bytes of a body", BODY_BYTES_MAX],
		["bytes of a text", TEXT_BYTES_MAX],
	])("says the most there may be: %s", (_, value) => {
		expect(page).toContain(value.toLocaleString("en"));
	});
});

/** The raw bytes of the page's dump: hexadecimal at the begin of each line. */
function dumped(section: string): Buffer {
	const text = page.split(`<!-- ${section} -->`)[1]?.split(`<!-- /${section} -->`)[0] ?? "";
	const lines = text
		.split("\n")
		.map((line) => /^((?:[0-9a-f]{2} )*[0-9a-f]{2})(?: {2}|$)/.exec(line));
	return Buffer.from(
		lines
			.map((found) => found?.[1] ?? "")
			.join("")
			.replaceAll(" ", ""),
		"hex",
	);
}

describe("the bytes of its dumps", () => {
	it("are a hello and what a controller answers", async () => {
		const payloads: string[] = [];
		new FrameReader((payload) => payloads.push(payload.toString())).push(dumped("hello"));
		const [asked = "", answered = ""] = payloads;
		const { client } = linked();
		client.send(asked);
		await new Promise((resolve) => setTimeout(resolve, 5));
		const said = client.answers[0]?.result;
		const { result } = JSON.parse(answered);
		expect(result).toEqual({
			...(said as object),
			storeId: result.storeId,
			boot: result.boot,
			rig: result.rig,
		});
	});

	it("are a frame that brings its three samples", () => {
		const payloads: Buffer[] = [];
		const reader = new FrameReader((payload) => payloads.push(payload));
		// The inflated body below the frame is no frame: nothing of it ends with an END.
		reader.push(dumped("batch"));
		expect(payloads.length).toBe(1);
		const frame = decodeLogPayload(payloads[0] ?? Buffer.alloc(0));
		if (frame.type !== "batch") throw new Error("no batch");
		expect([frame.transfer, frame.fromSeq, frame.toSeq]).toEqual([7, 41, 43]);
		const texts = frame.items.flatMap((item) => (item.type === "samples" ? item.run.texts() : []));
		expect(texts).toEqual(SAMPLE_TEXTS);
		for (const text of [...texts, CHAIN_BEFORE, frame.chain]) expect(page).toContain(text);
	});
});
