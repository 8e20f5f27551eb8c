// The feed's bounds over real HTTP: a page that reads nothing is dropped and holds nobody up, and
// what it has not read does not pile up.

import { createServer } from "node:http";
import { type AddressInfo, connect } from "node:net";
import { describe, expect, it } from "vitest";
import { Feed } from "../../host/serve/feed.ts";
import { sleep, until } from "./live.ts";

const SCENE_BYTES = 500_000;

describe("a page that reads nothing", () => {
	it("is dropped, while another one gets every scene", { timeout: 40_000 }, async () => {
		const feed = new Feed({
			scene: () => `{"filling":"${"x".repeat(SCENE_BYTES)}"`,
			series: () => ({ version: 0, now: { recent: [], run: [] } }),
			sessionOf: () => ({ may: "look", endsInMs: null }),
			stuckMs: 2_000,
		});
		const server = createServer((request, response) => {
			feed.open(response, request.url ?? "", null, {});
		});
		await new Promise<void>((resolve) => server.listen(0, "127.0.0.1", resolve));
		const { port } = server.address() as AddressInfo;
		const open = (path: string) => {
			const socket = connect(port, "127.0.0.1");
			socket.on("error", () => {});
			socket.write(`GET ${path} HTTP/1.1\r\nHost: x\r\n\r\n`);
			return socket;
		};
		const stuck = open("/stuck");
		stuck.pause();
		const reader = open("/reader");
		let bytes = 0;
		reader.on("data", (some: Buffer) => {
			bytes += some.length;
		});
		await until(() => feed.size === 2, 5);
		const before = process.memoryUsage().rss;
		// Many changes a second: what a stuck page does not take is left out.
		const changes = setInterval(() => feed.changed(), 50);
		await until(() => feed.size === 1, 20);
		clearInterval(changes);
		expect(process.memoryUsage().rss - before).toBeLessThan(150_000_000);
		const read = bytes;
		await sleep(2.2);
		expect(bytes - read).toBeGreaterThan(SCENE_BYTES);
		feed.close();
		reader.destroy();
		stuck.destroy();
		server.close();
	});
});
