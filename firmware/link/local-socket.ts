// The link on a socket of this computer, for its owner alone: the file has mode 0600 from its
// birth, in a folder where nobody else can put another in its place. A dead controller's socket is
// replaced; anything else at that path is left as it is.

import { lstatSync, type Stats, unlinkSync } from "node:fs";
import { connect, createServer, type Server, type Socket } from "node:net";
import { dirname, resolve } from "node:path";
import { InputError, messageOf } from "../config/input-error.ts";
import type { LinkServer } from "./server.ts";

/** Sockets open at a time. */
const CLIENTS_MAX = 8;
/**
 * How long one that is dropped is left unread until it is closed, ms: who floods and comes back at
 * once costs eight lines a second then, and not thousands.
 */
const CUT_MS = 1_000;
const OTHERS = 0o177;
const WRITABLE_BY_OTHERS = 0o022;
const STICKY = 0o1000;

/**
 * Listens; whoever connects is served once `serveClients` has been called.
 * @throws InputError when the folder is open to others, or something is there already
 */
export async function listenLocally(path: string): Promise<Server> {
	refuseFolder(dirname(resolve(path)), path);
	await clearWay(path);
	const listener = createServer();
	listener.maxConnections = CLIENTS_MAX;
	const listening = new Promise<void>((good, bad) => {
		listener.once("listening", good);
		listener.once("error", (error) => bad(refusal(path, messageOf(error))));
	});
	// The file is made within this call; so it never has other rights.
	const before = process.umask(OTHERS);
	try {
		listener.listen(path);
	} finally {
		process.umask(before);
	}
	await listening;
	return listener;
}

export function serveClients(listener: Server, server: LinkServer): void {
	listener.on("connection", (socket) => serve(socket, server));
}

function serve(socket: Socket, server: LinkServer): void {
	const session = server.open({
		write: (bytes) => socket.write(bytes),
		waiting: () => socket.writableLength,
		drop: () => {
			socket.pause();
			setTimeout(() => socket.destroy(), CUT_MS).unref();
		},
	});
	socket.on("data", (bytes: Buffer) => session.push(bytes));
	socket.on("drain", () => session.serve());
	socket.on("error", () => {});
	socket.once("close", () => server.close(session));
}

/** Whoever may write in the folder may put his own socket there. In a sticky one he may not. */
function refuseFolder(folder: string, path: string): void {
	const stats = lstatSync(folder, { throwIfNoEntry: false });
	if (stats?.isDirectory() !== true) throw refusal(path, `no folder ${folder}`);
	const owner = process.getuid?.() ?? 0;
	const isOurs = stats.uid === owner || stats.uid === 0;
	const isOpen = (stats.mode & WRITABLE_BY_OTHERS) !== 0 && (stats.mode & STICKY) === 0;
	if (!isOurs || isOpen) throw refusal(path, `a folder that others may write in: ${folder}`);
}

async function clearWay(path: string): Promise<void> {
	const stats: Stats | undefined = lstatSync(path, { throwIfNoEntry: false });
	if (stats === undefined) return;
	if (!stats.isSocket()) throw refusal(path, "something that is no socket");
	const answers = await new Promise<boolean>((tell) => {
		const socket = connect(path);
		socket.once("connect", () => {
			socket.destroy();
			tell(true);
		});
		socket.once("error", (error) => tell(!messageOf(error).includes("ECONNREFUSED")));
	});
	if (answers) throw refusal(path, "a socket that somebody serves");
	unlinkSync(path);
}

function refusal(file: string, found: string): InputError {
	const allowed = "a path for a socket, in a folder of your own";
	return new InputError([{ file, found, allowed }]);
}
