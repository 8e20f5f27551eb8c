// `lees control`: the controller itself, against a Firmata board on a serial port, an io plugin or
// a rig model in real time, with its log in a folder and its link on serial ports and a local
// socket.

import { existsSync } from "node:fs";
import type { Server } from "node:net";
import { uptime } from "node:os";
import { join } from "node:path";
import type { SerialPort } from "serialport";
import type { Board } from "../../firmware/board/port.ts";
import { createBootClock } from "../../firmware/boot-clock.ts";
import { InputError, messageOf } from "../../firmware/config/input-error.ts";
import { readInputFile } from "../../firmware/config/input-file.ts";
import { notFitted } from "../../firmware/config/optional-sensors.ts";
import { type PinMap, readPinMap } from "../../firmware/config/pins.ts";
import { type Rig, readRig } from "../../firmware/config/rig.ts";
import { listenLocally, serveClients } from "../../firmware/link/local-socket.ts";
import { Pairing } from "../../firmware/link/pairing.ts";
import { RigText } from "../../firmware/link/rig-text.ts";
import { LINK_BAUD, lineOf, openSerialLine } from "../../firmware/link/serial-line.ts";
import { LinkServer } from "../../firmware/link/server.ts";
import { Store } from "../../firmware/log/store.ts";
import { type Running, runController } from "../../firmware/main.ts";
import { drawCode } from "../link/pairing-code.ts";
import { CodeSign } from "./code-sign.ts";
import { EXIT, reportFailure } from "./exit.ts";
import { logicHere } from "./logic-here.ts";
import { keepMemorySmall } from "./memory.ts";
import { projectRoot } from "./root.ts";
import { openUsbBoard } from "./usb-board.ts";

const REOPEN_MS = 2_000;

export interface ControlOptions {
	readonly board: string;
	/** Serial ports. */
	readonly link: readonly string[];
	/** Path of a socket on this computer. */
	readonly socket?: string;
	readonly log: string;
	/** Size of the log from which samples are thinned. */
	readonly logMegabytes: number;
}

/** Runs until a signal. @throws InputError */
export async function control(rigFile: string, options: ControlOptions): Promise<number> {
	const rigYaml = readInputFile(rigFile);
	const rig = readRig(rigYaml, rigFile);
	const pinFile = join(projectRoot, "hardware/pins.yaml");
	const pins = readPinMap(readInputFile(pinFile), pinFile);
	// The kernel's time since boot goes on while the computer sleeps; nobody sets it.
	const clock = createBootClock(
		() => performance.now(),
		() => uptime() * 1000,
	);
	const manager = await managerOf();
	const store = await openStore(options);
	// V8 forgets it with each thread that starts.
	keepMemorySmall();
	const { links, listener, board } = await openLines(rigFile, options, rig, pins, clock).catch(
		async (error) => {
			await store.close();
			// A plugin that was made has no end of its own, and may keep the process.
			if (isPlugin(options.board)) process.exit(reportFailure(error));
			throw error;
		},
	);
	const sign = new CodeSign();
	const show = (code: string, unused: number) => sign.show(code, unused);
	const pairing = new Pairing({ draw: drawCode, show, clock });
	const shown = { rigText: new RigText(rigYaml), pairing };
	const running = runController({ rig, pins, board, store, clock, logic: logicHere(), shown });
	const server = new LinkServer(running);
	running.everyTick(() => server.everyTick());
	const notice = manager?.notice(running, clock);
	if (notice !== undefined) running.everyTick(() => notice.tickEnded());
	links.forEach((port, i) => {
		const path = options.link[i] ?? "";
		if (port !== null) serveSerial(port, server, path);
		else lookFor(path, server, "is not there");
	});
	if (listener !== null) serveClients(listener, server);
	process.stdout.write(
		`controlling ${rig.rig} on ${options.board}; boot ${running.boot}, ` +
			`${running.status().state}. Fuel burns: keep a person within reach.\n`,
	);
	// A fault ends this process with the outputs told off; the dead-man needs no telling.
	process.once("uncaughtException", (error) => {
		running.allOff();
		process.stderr.write(`ended by a fault, outputs off: ${error.stack ?? error.message}\n`);
		process.exit(EXIT.doesNotHold);
	});
	const signals = ["SIGINT", "SIGTERM", "SIGHUP"] as const;
	const why = await new Promise<string>((resolve) => {
		for (const name of signals) process.once(name, () => resolve(name));
	});
	notice?.stopping();
	listener?.close();
	await running.end(why);
	const proof = running.isBoardProven()
		? "pump off"
		: "pump told off, but the board does not answer: the dead-man has opened";
	process.stdout.write(`ended by ${why}, ${proof}\n`);
	// Open lines keep the process; everything that matters is on disk.
	process.exit(EXIT.good);
}

/** The service manager that started this process, if one did; its code is loaded only then. */
async function managerOf() {
	if (process.env.NOTIFY_SOCKET === undefined) return null;
	const { findManager, ServiceNotice, statusWords } = await import("./service-notice.ts");
	const found = findManager(process.env, (words) => process.stderr.write(`${words}\n`));
	if (found === null) return null;
	const notice = (running: Running, clock: () => number) => {
		const status = () => statusWords(running.status(), running.isBoardProven());
		return new ServiceNotice({ ...found, clock, status });
	};
	return { notice };
}

/** Serves the link on a port; one that goes away is opened again when it is back. */
function serveSerial(port: SerialPort, server: LinkServer, path: string): void {
	const session = server.open(lineOf(port));
	port.on("data", (bytes: Buffer) => session.push(bytes));
	port.on("drain", () => session.serve());
	port.on("error", () => {});
	port.once("close", () => {
		server.close(session);
		lookFor(path, server, "has gone");
	});
}

function lookFor(path: string, server: LinkServer, why: string): void {
	process.stderr.write(`the link on ${path} ${why}; looking for it\n`);
	const reopen = () => {
		setTimeout(() => {
			openSerialLine(path, LINK_BAUD).then((port) => serveSerial(port, server, path), reopen);
		}, REOPEN_MS);
	};
	reopen();
}

/** A link that is not plugged in yet is null: a rig comes up without a laptop on its cable. */
async function openLines(
	rigFile: string,
	options: ControlOptions,
	rig: Rig,
	pins: PinMap,
	clock: () => number,
): Promise<{ links: Array<SerialPort | null>; listener: Server | null; board: Board }> {
	const links: Array<SerialPort | null> = [];
	let board: EndingBoard | undefined;
	try {
		for (const path of options.link) {
			links.push(existsSync(path) ? await openSerialLine(path, LINK_BAUD) : null);
		}
		board = await openBoard(rigFile, options.board, rig, pins, clock);
		const listener = options.socket === undefined ? null : await listenLocally(options.socket);
		return { links, listener, board };
	} catch (error) {
		for (const link of links) link?.close();
		// Its line, or the looking for it, would keep the process.
		board?.end?.();
		throw error;
	}
}

/** A store, or one that has failed where the disk gives none. @throws InputError */
async function openStore({ log, logMegabytes }: ControlOptions): Promise<Store> {
	const file = join(log, "log.sqlite");
	try {
		const store = await Store.open(file, { bytesMax: logMegabytes * 1_000_000 });
		if (store.lost !== null) process.stderr.write(`${file}: ${store.lost}\n`);
		return store;
	} catch (error) {
		const found = messageOf(error);
		throw new InputError([{ file, found, allowed: "a record store, or a folder for a new one" }]);
	}
}

const isPlugin = (spec: string): boolean => /^plugin(:|$)/.test(spec);

type EndingBoard = Board & { end?(): void };

async function openBoard(
	rigFile: string,
	spec: string,
	rig: Rig,
	pins: PinMap,
	clock: () => number,
): Promise<EndingBoard> {
	if (spec === "model") {
		const { RealTimeModel } = await import("./real-time-model.ts");
		return new RealTimeModel(rig, pins);
	}
	const parts = { pins, clock, notFitted: notFitted(rig.sensors) };
	if (isPlugin(spec)) {
		const { openPlugin } = await import("./plugin-board.ts");
		return openPlugin(spec, { rigFile, rig, ...parts });
	}
	const path = spec.startsWith("firmata:") ? spec.slice("firmata:".length) : "";
	if (path === "") {
		const allowed = "firmata:PORT, plugin, plugin:MODULE or model";
		throw new InputError([{ file: "--board", found: spec, allowed }]);
	}
	return openUsbBoard(path, parts);
}
