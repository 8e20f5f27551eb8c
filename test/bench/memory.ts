// What `lees control` keeps in memory, idle and while it pumps: the command in a process of its
// own, beside an emulated board on a pseudo-terminal as it would be beside a real one; once more
// with the rig model in the same process; and a bare Node that only waits. Resident pages by the
// kernel, shared ones too. Imports the e2e tests' live rig.

import { type ChildProcess, spawn } from "node:child_process";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { LinkClient } from "../../host/link/client.ts";
import { LiveRig, sleep } from "../e2e/live.ts";
import type { Measured } from "./parts.ts";
import type { Figure } from "./table.ts";

const GOAL_MIB = 90;
/** Looked at once a second for so long; the greatest counts, s. */
const LOOKS = 20;
/** Modules are loaded and the first minute's garbage is gone, s. */
const SETTLES_S = 10;
const LITRES = "20";
/** Horn, proofs and prime are over by then, s. */
const PRIMES_S = 90;

export async function measureMemory(): Promise<Measured> {
	const bare = await ofBareNode();
	const emulated = await ofControl((rig) => rig.control([], undefined, ["--socket", at(rig)]));
	const model = await ofControl((rig) => rig.control([], "model", ["--socket", at(rig)]));
	const row = (name: string, mib: readonly number[]) => [name, ...mib.map((one) => one.toFixed(1))];
	const figure = (when: string, mib: number): Figure => ({
		what: `memory of lees control, ${when}`,
		shown: `${mib.toFixed(1)} MiB`,
		goal: `under ${GOAL_MIB} MiB`,
		met: mib < GOAL_MIB,
		peer: `${bare.toFixed(1)} MiB of a bare Node`,
		ratio: mib / bare,
	});
	return {
		rows: [
			["resident, MiB", "idle", "pumping"],
			row("lees control, emulated board", [emulated.idle, emulated.pumping]),
			row("lees control, rig model inside", [model.idle, model.pumping]),
			row("bare Node", [bare, bare]),
		],
		figures: [figure("idle", emulated.idle), figure("pumping", emulated.pumping)],
	};
}

const at = (rig: LiveRig) => join(rig.folder, "socket");

/** @throws Error when the order is not taken: then nothing pumps */
async function ofControl(start: (rig: LiveRig) => Promise<ChildProcess>) {
	const rig = new LiveRig();
	try {
		await rig.start();
		const child = await start(rig);
		await sleep(SETTLES_S);
		const idle = await greatest(child);
		const order = ["--tank", "port", "--litres", LITRES, "--attended"];
		const { status, stderr } = await rig.lees("order", "polish", at(rig), ...order);
		if (status !== 0) throw new Error(`the order ended with ${status}: ${stderr}`);
		const client = await LinkClient.open(at(rig));
		const isPolishing = async () => (await client.call("status", {})).state === "polishing";
		for (let tries = 0; !(await isPolishing()); tries += 1) {
			if (tries > PRIMES_S) throw new Error("the pump has not primed");
			await sleep(1);
		}
		await client.close();
		return { idle, pumping: await greatest(child) };
	} finally {
		await rig.end();
	}
}

async function ofBareNode(): Promise<number> {
	const child = spawn(process.execPath, ["-e", "setInterval(() => {}, 100)"]);
	try {
		await sleep(2);
		return residentMib(child);
	} finally {
		child.kill();
	}
}

async function greatest(child: ChildProcess): Promise<number> {
	let most = 0;
	for (let look = 0; look < LOOKS; look += 1) {
		await sleep(1);
		most = Math.max(most, residentMib(child));
	}
	return most;
}

function residentMib({ pid }: ChildProcess): number {
	const status = readFileSync(`/proc/${pid}/status`, "utf8");
	const [, kib] = /VmRSS:\s+(\d+) kB/.exec(status) ?? [];
	if (kib === undefined) throw new Error(`no resident size of process ${pid}`);
	return Number(kib) / 1_024;
}
