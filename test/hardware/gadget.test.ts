// The serial gadget's script against a plain folder that plays configfs: files that are there with
// their folder and go with it, folders that go only when nothing hangs on them. No USB port that
// can be a device is needed, and none is proven by this: see the page of the service.

import { spawnSync } from "node:child_process";
import {
	existsSync,
	mkdirSync,
	mkdtempSync,
	readFileSync,
	readlinkSync,
	writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { delimiter, join } from "node:path";
import { expect, it } from "vitest";
import { service } from "./installed.ts";

const MACHINE = "0123456789abcdef0123456789abcdef";

/** Removes a folder as configfs does: its attributes go with it, links and what was made do not. */
const RMDIR = `#!/bin/sh
set -eu
cd "$1"
[ -z "$(find . -type l)" ] || { echo "busy: $1" >&2; exit 1; }
for held in functions/acm.link configs/c.1 strings/0x409; do
	[ ! -d "$held" ] || [ "$held" = "\${PWD##*/lees/}" ] || { echo "in use: $held" >&2; exit 1; }
done
rm -r "$PWD"
`;

function computer(ports: readonly string[]) {
	const folder = mkdtempSync(join(tmpdir(), "lees-gadget-"));
	const config = join(folder, "config");
	const gadget = join(config, "usb_gadget/lees");
	const classes = join(folder, "udc");
	const bin = join(folder, "bin");
	const machineId = join(folder, "machine-id");
	writeFileSync(machineId, `${MACHINE}\n`);
	for (const path of [join(config, "usb_gadget"), classes, bin])
		mkdirSync(path, { recursive: true });
	for (const port of ports) mkdirSync(join(classes, port));
	writeFileSync(join(bin, "rmdir"), RMDIR, { mode: 0o755 });
	const env = {
		PATH: [bin, process.env.PATH].join(delimiter),
		LEES_CONFIGFS: config,
		LEES_UDC_CLASS: classes,
		LEES_MACHINE_ID: machineId,
	};
	const run = (deed: string) =>
		spawnSync("sh", [join(service, "gadget.sh"), deed], { encoding: "utf8", env });
	const read = (path: string) => readFileSync(join(gadget, path), "utf8").trim();
	return { gadget, run, read };
}

it("makes one serial port with a number of its own, once, and takes it away", () => {
	const { gadget, run, read } = computer(["fe980000.usb"]);
	expect(run("status")).toMatchObject({ status: 1, stdout: "off\n" });
	expect(run("start")).toMatchObject({ status: 0, stderr: "" });
	expect(read("UDC")).toBe("fe980000.usb");
	expect(readlinkSync(join(gadget, "configs/c.1/acm.link"))).toBe(
		join(gadget, "functions/acm.link"),
	);
	const serial = read("strings/0x409/serialnumber");
	expect(serial).toMatch(/^lees-[0-9a-f]{12}$/);
	expect(MACHINE).not.toContain(serial.slice("lees-".length));
	expect(run("start").stdout).toContain("already");
	expect(run("status")).toMatchObject({ status: 0, stdout: "on fe980000.usb\n" });
	expect(run("stop")).toMatchObject({ status: 0, stderr: "" });
	expect(existsSync(gadget)).toBe(false);
	expect(run("stop")).toMatchObject({ status: 0, stdout: "there is no serial gadget\n" });
	run("start");
	expect(read("strings/0x409/serialnumber")).toBe(serial);
});

it("goes on from half a start, and undoes half of one", () => {
	const { gadget, run, read } = computer(["usb.0"]);
	mkdirSync(join(gadget, "functions/acm.link"), { recursive: true });
	expect(run("start").status).toBe(0);
	expect(read("UDC")).toBe("usb.0");
	run("stop");
	mkdirSync(join(gadget, "strings/0x409"), { recursive: true });
	expect(run("stop")).toMatchObject({ status: 0, stderr: "" });
	expect(existsSync(gadget)).toBe(false);
});

it("says what is missing, with exit 2", () => {
	const { run } = computer([]);
	const refused = run("start");
	expect(refused.status).toBe(2);
	expect(refused.stderr).toContain("allowed: a USB port that can be a device");
	expect(run("dance").stderr).toContain('found "dance"; allowed: start, stop or status');
});
