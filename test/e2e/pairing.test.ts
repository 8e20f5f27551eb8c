// Pairing as a person has it: `lees control` by itself, its terminal, and a client on its socket.

import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { LinkClient } from "../../host/link/client.ts";
import { rigFile } from "../stories/world.ts";
import { LiveRig, sleep, until } from "./live.ts";

const rig = new LiveRig();
afterAll(() => rig.end());

async function started() {
	const socket = join(rig.folder, "link");
	const child = await rig.control([], "model", ["--socket", socket]);
	await until(() => existsSync(socket), 10);
	return { child, client: await LinkClient.open(socket) };
}

describe("a controller on its own", () => {
	it("shows what a page needs, and its codes on its terminal alone", {
		timeout: 90_000,
	}, async () => {
		const { child, client } = await started();
		let said = "";
		child.stdout?.on("data", (text: Buffer) => {
			said += text.toString();
		});
		const { sensed, blocked } = await client.call("senses", {});
		expect(sensed?.supplyVolts).toBeGreaterThan(11);
		expect(sensed?.probe).toBe("dry");
		expect(blocked).toEqual([]);
		let text = "";
		for (let length = 1; text.length < length; ) {
			const part = await client.call("rig.read", { offset: text.length });
			text += part.text;
			length = part.length;
		}
		expect(text).toBe(readFileSync(rigFile, "utf8"));

		expect(await client.call("pair.show", {})).toEqual({ isShown: true, waitSeconds: 10 });
		await until(() => /: \d{6}\n/.test(said), 5);
		expect(said).toContain("may start the pump");
		const code = /: (\d{6})\n/.exec(said)?.[1] ?? "";
		const wrong = String((Number(code) + 1) % 1_000_000).padStart(6, "0");
		expect(await client.call("pair.check", { code: wrong })).toEqual({
			isRight: false,
			triesLeft: 4,
		});
		expect((await client.call("pair.check", { code })).isRight).toBe(true);
		expect((await client.call("pair.check", { code })).isRight).toBe(false);
		await client.close();
		await rig.endControllers();
	});

	it("goes on where nobody reads its terminal any more, whoever asks for a code", {
		timeout: 90_000,
	}, async () => {
		const { child, client } = await started();
		child.stdout?.destroy();
		await sleep(0.1);
		expect((await client.call("pair.show", {})).isShown).toBe(true);
		await sleep(0.5);
		const before = (await client.call("status", {})).ticks;
		await sleep(0.5);
		expect((await client.call("status", {})).ticks).toBeGreaterThan(before);
		await client.close();
	});
});
