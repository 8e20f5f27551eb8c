// Three seconds are injected into every sync of the disk: no tick is late for it, a stop acts in
// its own tick, and a start waits for its record.

import { afterAll, beforeAll, expect, it } from "vitest";
import { LinkClient } from "../../host/link/client.ts";
import { LiveRig, until } from "./live.ts";

const SYNC_S = 3;
const rig = new LiveRig();
beforeAll(() => rig.start(), 30_000);
afterAll(() => rig.end());

it("holds with 3 s in every fsync and fdatasync", { timeout: 180_000 }, async () => {
	const calls = "fsync,fdatasync";
	const delay = `inject=${calls}:delay_enter=${SYNC_S * 1_000_000}`;
	const strace = ["strace", "-f", "--seccomp-bpf", "-o", "/dev/null"];
	await rig.control([...strace, "-e", `trace=${calls}`, "-e", delay]);

	// Its first ticks wait for the disk's first syncs too.
	await rig.believes();

	const orderedMs = Date.now();
	const order = [
		"order",
		"polish",
		rig.linkAshore,
		"--tank",
		"port",
		"--litres",
		"5",
		"--attended",
	];
	const ordered = await rig.lees(...order);
	expect(ordered.stdout).toBe("polish accepted\n");
	expect(Date.now() - orderedMs).toBeGreaterThan(SYNC_S * 1000);
	await until(() => rig.pumpPowered(), 60);
	const demand = rig
		.edges()
		.find(({ channel, level }) => channel === "pump-demand" && level === "high");
	// The order's record, then the start's: two syncs before K1 may close at all.
	expect((demand?.wallMs ?? 0) - orderedMs).toBeGreaterThan(2 * SYNC_S * 1000);

	const client = await LinkClient.open(rig.linkAshore);
	const stoppedMs = Date.now();
	await client.call("stop", { id: "slow-disk" });
	await until(() => !rig.pumpDemanded(), 5);
	const off = rig.edges().findLast(({ channel }) => channel === "pump-demand");
	expect((off?.wallMs ?? Infinity) - stoppedMs).toBeLessThan(1_000);

	const status = await client.call("status", {});
	await client.close();
	expect(status.logFailed).toBe(false);
	expect(status.ticks).toBeGreaterThan(100);
	// A tick that waits for the disk is late by the whole sync.
	expect(status.tickLateMsMax).toBeLessThan((SYNC_S * 1000) / 2);
});
