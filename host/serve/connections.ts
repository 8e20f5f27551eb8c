// How many connections there may be: so many in all, and so many of one address, so that one phone
// that opens them without end leaves the others room for a stop. Imports Node's server only.

import type { Server } from "node:http";

const ALL_MAX = 512;
/** A browser opens six, and one for the feed of each tab. */
const OF_ONE_MAX = 64;

export function limitConnections(server: Server): void {
	server.maxConnections = ALL_MAX;
	const open = new Map<string, number>();
	server.on("connection", (socket) => {
		const address = socket.remoteAddress ?? "";
		const count = (open.get(address) ?? 0) + 1;
		if (count > OF_ONE_MAX) {
			socket.destroy();
			return;
		}
		open.set(address, count);
		socket.once("close", () => {
			const left = (open.get(address) ?? 1) - 1;
			if (left === 0) open.delete(address);
			else open.set(address, left);
		});
	});
}
