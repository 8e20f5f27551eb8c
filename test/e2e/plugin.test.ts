// A board that is an io plugin, named in the rig file: firmata-io's own class on the emulated
// board's port pumps a polish; what is no plugin, or lacks what the pin map needs, is refused.

import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { LinkClient } from "../../host/link/client.ts";
import { rigFile, root } from "../stories/world.ts";
import { lees } from "./cli.ts";
import { LiveRig, until } from "./live.ts";

const rig = new LiveRig();
beforeAll(() => rig.start(), 30_000);
afterAll(() => rig.end());

const plugin = join(root, ".build/test/e2e/firmata-plugin.js");

/** The example rig with a board; every channel of the pin map is fitted. */
function rigWith(board: object): string {
	const path = join(rig.folder, "own.rig.yaml");
	writeFileSync(path, `${readFileSync(rigFile, "utf8")}\nboard: ${JSON.stringify(board)}\n`);
	return path;
}

const control = (file: string, board: string) =>
	lees(["control", file, "--board", board, "--log", rig.log], rig.folder, {}, 30_000);

describe("an io plugin in place of a board", () => {
	it("that cannot do what the pin map needs is refused, channel by channel", () => {
		const without = (lacks: string) =>
			control(rigWith({ plugin, options: { port: rig.board, lacks } }), "plugin");
		const analog = without("analog");
		expect(analog.status).toBe(2);
		expect(analog.stderr).toContain(`plugin ${plugin}  stop-loop: found 0 analog inputs`);
		for (const name of ["bowl-probe", "vacuum", "tray"]) expect(analog.stderr).toContain(name);
		expect(analog.stderr).not.toContain("pump-demand");
		const unproven = without("read-back");
		expect(unproven.status).toBe(2);
		expect(unproven.stderr).toContain("queryPinState: found no such method");
		expect(unproven.stderr).toContain("outputs are proven by reading them back");
		const broken = without("ready");
		expect(broken).toMatchObject({ status: 2, stderr: expect.stringContaining("no such chip") });
	});

	it("that is not there or is none is refused", () => {
		const missing = control(rigFile, "plugin:no-such-module");
		expect(missing).toMatchObject({ status: 2 });
		expect(missing.stderr).toContain("plugin no-such-module  found no such module; allowed: ");
		const unnamed = control(rigFile, "plugin");
		expect(unnamed).toMatchObject({ status: 2 });
		expect(unnamed.stderr).toContain("a rig file whose board names a plugin");
		const other = control(rigFile, "plugin:picocolors");
		expect(other).toMatchObject({ status: 2, stderr: expect.stringContaining("no class in it") });
		const date = join(rig.folder, "date.cjs");
		writeFileSync(date, "module.exports = Date;\n");
		expect(control(rigFile, "plugin:./date.cjs").stderr).toContain("pinMode: found no such method");
	});

	it("pumps a polish on the emulated board, to its end", { timeout: 120_000 }, async () => {
		const file = rigWith({ plugin, options: { port: rig.board } });
		const controller = await rig.control([], "plugin", [], file);
		await rig.believes();
		const order = ["order", "polish", rig.linkAshore, "--tank", "port", "--litres", "0.3"];
		const answer = await rig.lees(...order, "--attended");
		expect(answer).toMatchObject({ status: 0, stdout: "polish accepted\n", stderr: "" });
		await until(() => rig.pumpPowered(), 40);
		await until(() => !rig.pumpDemanded() && !rig.pumpPowered(), 60);
		const link = await LinkClient.open(rig.linkAshore);
		expect((await link.call("status", {})).trips).toEqual([]);
		await link.close();
		expect(rig.edges().findLast(({ truth }) => truth !== undefined)?.truth).toMatchObject({
			litresThroughPump: expect.closeTo(0.3, 1),
		});
		controller.kill("SIGTERM");
		await until(() => controller.exitCode !== null, 10);
		expect(controller.exitCode).toBe(0);
	});
});
