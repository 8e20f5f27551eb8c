// A cable between two pseudo-terminals that does what cables do: flips bits, loses and doubles
// bytes, falls silent, is pulled out and put back under the same name or another. socat's two
// terminals, their other ends held here; the dice are seeded.

import { type ChildProcess, spawn } from "node:child_process";
import { existsSync, mkdtempSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { uniformFloat64 } from "pure-rand/distribution/uniformFloat64";
import { uniformInt } from "pure-rand/distribution/uniformInt";
import { xoroshiro128plus } from "pure-rand/generator/xoroshiro128plus";
import type { PortFacts } from "../../host/link/reconnect.ts";
import { sleep, until } from "./live.ts";

/** Bytes that the cable carries in a second, each way. */
const BYTES_PER_SECOND = 40_000;
const STEP_MS = 5;
const SERIAL_NUMBER = "LEES-0001";

export interface Noise {
	readonly seed: number;
	/** Share of bytes with one bit flipped, as many lost, as many doubled. */
	readonly share: number;
}

export class NoisyCable {
	readonly folder = mkdtempSync(join(tmpdir(), "lees-cable-"));
	readonly aboard = join(this.folder, "aboard");
	/** What happened to it. */
	readonly counts = { bytes: 0, flipped: 0, lost: 0, doubled: 0, silences: 0, pulled: 0 };
	private readonly noise: Noise;
	private readonly dice;
	private names = 0;
	private path = this.newName();
	private far: ChildProcess | null = null;
	private near: ChildProcess | null = null;
	private isSilent = false;
	private readonly toNear: Buffer[] = [];
	private readonly toFar: Buffer[] = [];
	private readonly timer = setInterval(() => this.carry(), STEP_MS);

	constructor(noise: Noise) {
		this.noise = noise;
		this.dice = xoroshiro128plus(noise.seed);
	}

	/** Where the laptop's end stands now. */
	get ashore(): string {
		return this.path;
	}

	async plugIn(): Promise<void> {
		this.far = await terminal(this.aboard, (bytes) => this.toNear.push(bytes));
		this.near = await terminal(this.path, (bytes) => this.toFar.push(bytes));
	}

	/** What the laptop's system lists: this device while it is there, and an unlike one beside it. */
	readonly listPorts = async (): Promise<PortFacts[]> => {
		const other = { path: join(this.folder, "modem"), serialNumber: "MODEM-7" };
		const here = { path: this.path, serialNumber: SERIAL_NUMBER };
		return this.near === null ? [other] : [other, here];
	};

	/** Nothing passes for so long. */
	async fallSilent(seconds: number): Promise<void> {
		this.counts.silences += 1;
		this.isSilent = true;
		await sleep(seconds);
		this.isSilent = false;
	}

	/** Pulled out at whatever byte it is, and put back. */
	async pull(seconds: number, underAnotherName: boolean): Promise<void> {
		this.counts.pulled += 1;
		this.near?.kill("SIGKILL");
		this.near = null;
		this.toNear.length = 0;
		this.toFar.length = 0;
		if (underAnotherName) this.path = this.newName();
		await sleep(seconds);
		this.near = await terminal(this.path, (bytes) => this.toFar.push(bytes));
	}

	close(): void {
		clearInterval(this.timer);
		this.far?.kill("SIGKILL");
		this.near?.kill("SIGKILL");
	}

	private newName(): string {
		this.names += 1;
		return join(this.folder, `ashore-${this.names}`);
	}

	private carry(): void {
		const bytesMax = (BYTES_PER_SECOND * STEP_MS) / 1000;
		for (const [queue, end] of [
			[this.toNear, this.near],
			[this.toFar, this.far],
		] as const) {
			const bytes = take(queue, bytesMax);
			if (bytes.length === 0 || this.isSilent) continue;
			this.counts.bytes += bytes.length;
			end?.stdin?.write(this.spoilt(bytes));
		}
	}

	private spoilt(bytes: Buffer): Buffer {
		const { dice, counts } = this;
		const { share } = this.noise;
		const passed: number[] = [];
		for (const byte of bytes) {
			const draw = uniformFloat64(dice) / share;
			if (draw >= 3) passed.push(byte);
			else if (draw >= 2) counts.lost += 1;
			else if (draw >= 1) {
				counts.doubled += 1;
				passed.push(byte, byte);
			} else {
				counts.flipped += 1;
				passed.push(byte ^ (1 << uniformInt(dice, 0, 7)));
			}
		}
		return Buffer.from(passed);
	}
}

/** The first bytes of a queue, at most so many. */
function take(queue: Buffer[], bytesMax: number): Buffer {
	const taken: Buffer[] = [];
	for (let room = bytesMax; room > 0; ) {
		const [first] = queue;
		if (first === undefined) break;
		const part = first.subarray(0, room);
		taken.push(part);
		room -= part.length;
		if (part.length === first.length) queue.shift();
		else queue[0] = first.subarray(part.length);
	}
	return Buffer.concat(taken);
}

/** A pseudo-terminal at that path; its other end is the child's standard input and output. */
async function terminal(path: string, onBytes: (bytes: Buffer) => void): Promise<ChildProcess> {
	const child = spawn("socat", [`pty,raw,echo=0,link=${path}`, "-"], {
		stdio: ["pipe", "pipe", "ignore"],
	});
	child.stdout.on("data", onBytes);
	child.stdin.on("error", () => {});
	await until(() => existsSync(path), 10);
	return child;
}
