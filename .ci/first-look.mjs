// The end of `npm start`: plays a scenario, then offers the bench page. On a desktop it asks,
// serves the page and opens the browser; elsewhere it says how. It ends with the scenario's exit
// status.
// `node .ci/first-look.mjs [SCENARIO [OPTION OF LEES SERVE …]]`

import { spawn, spawnSync } from "node:child_process";
import { once } from "node:events";
import { join } from "node:path";
import { createInterface } from "node:readline/promises";
import { root } from "./prepare.mjs";

const LEES = join(root, ".build/host/cli/main.js");
const ADDRESS = "http://127.0.0.1:8437";
const PAGE = "/bench";

const [scenario = "water-in-the-bowl", ...serveOptions] = process.argv.slice(2);
const { status } = spawnSync(process.execPath, [LEES, "bench", scenario], { stdio: "inherit" });
console.log(
	"\nThe same controller runs in the browser: pour water into the tank there, and see what it\n" +
		"does. Nothing real is pumped by it.",
);
if (isDesktop() && (await wantsPage())) await servePage();
else console.log(`  npx lees serve     and open ${ADDRESS}${PAGE}`);
process.exit(status ?? 1);

function isDesktop() {
	const { DISPLAY, WAYLAND_DISPLAY, CI } = process.env;
	const hasDisplay = Boolean(DISPLAY || WAYLAND_DISPLAY);
	const hasScreen = hasDisplay || process.platform === "darwin" || process.platform === "win32";
	return process.stdout.isTTY && process.stdin.isTTY && hasScreen && !CI;
}

/** Ctrl-C and Ctrl-D say no. */
async function wantsPage() {
	const terminal = createInterface({ input: process.stdin, output: process.stdout });
	const ended = once(terminal, "close").then(() => "n");
	terminal.once("SIGINT", () => terminal.close());
	const asked = terminal.question("Open it now? Enter opens it, n ends here: ").catch(() => "n");
	const answer = await Promise.race([asked, ended]);
	terminal.close();
	return !answer.trim().toLowerCase().startsWith("n");
}

/** Until it is ended, by Ctrl-C as a rule. */
async function servePage() {
	const server = spawn(process.execPath, [LEES, "serve", ...serveOptions], {
		stdio: ["ignore", "pipe", "inherit"],
	});
	// The terminal's own goes to both; this one waits for the server's end.
	process.on("SIGINT", () => {});
	process.on("SIGTERM", () => server.kill("SIGTERM"));
	let said = "";
	server.stdout.on("data", (bytes) => {
		process.stdout.write(bytes);
		if (said === null) return;
		// What the server itself says: another one may have the address that is usual.
		said += bytes;
		const origin = /http:\/\/[^\s/]+(?=[\s/])/.exec(said)?.[0];
		if (origin === undefined) return;
		said = null;
		openBrowser(`${origin}${PAGE}`);
	});
	await once(server, "close");
	if (said !== null) console.log("  npx lees serve --help     says how to serve it elsewhere");
}

function openBrowser(url) {
	const openers = {
		darwin: ["open"],
		win32: ["rundll32", "url.dll,FileProtocolHandler"],
	};
	const [program, ...args] = openers[process.platform] ?? ["xdg-open"];
	const opener = spawn(program, [...args, url], { stdio: "ignore", detached: true });
	const fail = () => console.log(`No browser could be opened: open ${url} in one.`);
	opener.once("error", fail);
	opener.once("exit", (code) => {
		if (code !== 0) fail();
	});
	opener.unref();
}
