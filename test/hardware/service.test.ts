// The service files: put into a folder by the install script, judged by systemd's and the shell's
// own checkers, put there twice, changed and taken off again.

import { spawnSync } from "node:child_process";
import { existsSync, lstatSync, readdirSync, readFileSync, statSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { root } from "../stories/world.ts";
import {
	environment,
	FIRST,
	freshRoot,
	install,
	readUnit,
	service,
	settingOf,
} from "./installed.ts";
import { readUdevRules } from "./udev-rules.ts";

const scripts = readdirSync(service).filter((file) => file.endsWith(".sh"));

/** Each file below a folder with its kind, rights and text. */
function tree(folder: string): string[] {
	return readdirSync(folder, { recursive: true, encoding: "utf8" })
		.sort()
		.map((path) => {
			const stats = lstatSync(join(folder, path));
			const text = stats.isFile() ? readFileSync(join(folder, path), "utf8") : "";
			return `${path} ${stats.mode.toString(8)} ${text}`;
		});
}

const filesIn = (folder: string) =>
	readdirSync(folder, { recursive: true, encoding: "utf8" })
		.filter((path) => !lstatSync(join(folder, path)).isDirectory())
		.sort();

const run = (program: string, ...args: string[]) =>
	spawnSync(program, args, { encoding: "utf8", env: { ...process.env, LC_ALL: "C" } });

describe("the scripts", () => {
	it.each(scripts)("%s is good shell to the shell and to its checker", (script) => {
		const path = join(service, script);
		expect(run("sh", "-n", path)).toMatchObject({ status: 0, stderr: "" });
		expect(run("shellcheck", "--shell=sh", path)).toMatchObject({ status: 0, stdout: "" });
		expect(statSync(path).mode & 0o111).toBe(0o111);
	});
});

describe("what is installed", () => {
	const whole = freshRoot();
	const done = install(whole, ...FIRST, "--link", "gadget", "--pages");
	const units = ["lees-control.service", "lees-gadget.service", "lees-serve.service"];

	it("is there, with nothing left to fill in", () => {
		expect(done).toMatchObject({ status: 0, stderr: "" });
		for (const line of tree(whole)) expect(line).not.toMatch(/@[A-Z]+@/);
		const wants = join(whole, "etc/systemd/system/multi-user.target.wants");
		expect(readdirSync(wants).sort()).toEqual(units);
		expect(environment(whole).LEES_LINK).toBe("--link /dev/lees-link");
		for (const folder of ["var/lib/lees/log", "var/lib/lees-archive"]) {
			expect(statSync(join(whole, folder)).mode & 0o777).toBe(0o750);
		}
	});

	it("are units that systemd finds nothing wrong with", () => {
		const paths = units.map((unit) => join(whole, "etc/systemd/system", unit));
		expect(run("systemd-analyze", "verify", "--man=no", ...paths)).toMatchObject({
			status: 0,
			stdout: "",
			stderr: "",
		});
		// The checker does find what is wrong.
		const spoilt = join(freshRoot(), "spoilt.service");
		const good = readFileSync(paths[0] ?? "", "utf8");
		writeFileSync(spoilt, good.replace("ProtectSystem=strict", "ProtectSystem=very"));
		expect(run("systemd-analyze", "verify", "--man=no", spoilt).stderr).toContain("protect system");
	});

	// systemd's own scale: 0 is nothing left open, 10 everything. What keeps each from less is told
	// in the page: serve has the network, the gadget is root.
	it.each([
		["lees-control.service", 1],
		["lees-serve.service", 1.5],
		["lees-gadget.service", 2],
	] as const)("%s leaves at most %d open", (unit, most) => {
		const path = join(whole, "etc/systemd/system", unit);
		const threshold = `--threshold=${most * 10}`;
		const judged = run("systemd-analyze", "security", "--offline=true", threshold, path);
		expect(judged.stdout).toContain("Overall exposure level");
		expect(judged.status).toBe(0);
		const stricter = run("systemd-analyze", "security", "--offline=true", "--threshold=1", path);
		expect(stricter.status).not.toBe(0);
	});

	it("keeps the controller from the network, and the pages from devices", () => {
		const of = (unit: string) => readUnit(whole, unit).map(([, key, value]) => `${key}=${value}`);
		const control = of("lees-control.service");
		expect(control).toContain("PrivateNetwork=yes");
		expect(control).toContain("RestrictAddressFamilies=AF_UNIX");
		expect(control).toContain("DevicePolicy=closed");
		const devices = control.filter((line) => line.startsWith("DeviceAllow="));
		expect(devices.every((line) => /=char-tty(ACM|USB|GS) rw$/.test(line))).toBe(true);
		expect(of("lees-serve.service")).toContain("PrivateDevices=yes");
	});

	it("waits for a slow start for longer than the store may take, and for its end", () => {
		const opening = readFileSync(join(root, "firmware/log/store.ts"), "utf8");
		const ms = (name: string) =>
			Number(new RegExp(`${name} = ([\\d_]+)`).exec(opening)?.[1]?.replaceAll("_", ""));
		const minutes = Number.parseFloat(settingOf(whole, "lees-control.service", "TimeoutStartSec"));
		expect(minutes * 60_000).toBeGreaterThan(ms("OPEN_MS_MAX") + 30_000);
		const seconds = Number.parseFloat(settingOf(whole, "lees-control.service", "TimeoutStopSec"));
		expect(seconds * 1_000).toBeGreaterThan(ms("CLOSE_MS_MAX") + 10_000);
	});

	it("is the same after it was installed again, with or without saying all of it anew", () => {
		const before = tree(whole);
		expect(install(whole).stdout).not.toContain("written");
		expect(tree(whole)).toEqual(before);
		expect(install(whole, ...FIRST, "--link", "gadget", "--pages").status).toBe(0);
		expect(tree(whole)).toEqual(before);
	});
});

describe("a change and an end", () => {
	it("takes another link, keeps what is the owner's, and is taken off but for the log", () => {
		const into = freshRoot();
		expect(install(into, ...FIRST, "--link", "gadget").status).toBe(0);
		const env = join(into, "etc/lees/service.env");
		const own = '"--name rig.lan"';
		writeFileSync(env, readFileSync(env, "utf8").replace('LEES_PAGES=""', `LEES_PAGES=${own}`));
		expect(install(into, "--link", "cable", "--link-serial", "A50285BI").status).toBe(0);
		expect(existsSync(join(into, "etc/systemd/system/lees-gadget.service"))).toBe(false);
		expect(readFileSync(env, "utf8")).toContain(`LEES_PAGES=${own}`);
		writeFileSync(join(into, "var/lib/lees/log/log.sqlite"), "a year");

		const ended = install(into, "--uninstall");
		expect(ended).toMatchObject({ status: 0, stderr: "" });
		expect(ended.stdout).toContain("kept: ");
		expect(filesIn(into)).toEqual(["etc/lees/rig.yaml", "var/lib/lees/log/log.sqlite"]);
		expect(install(into, "--uninstall").status).toBe(0);
		expect(install(into, "--uninstall", "--purge").status).toBe(0);
		expect(existsSync(join(into, "var/lib/lees"))).toBe(false);
		expect(existsSync(join(into, "etc/lees"))).toBe(false);
	});

	it.each([
		[["--board-serial", "x"], "--rig: found nothing"],
		[["--rig", FIRST[1]], "--board-serial: found nothing"],
		[["--rig", "/nowhere", "--board-serial", "x"], '--rig: found "/nowhere"'],
		[["--rig", join(root, "package.json"), "--board-serial", "x"], "package.json"],
		[[...FIRST, "--board-serial", 'x", RUN+="'], "--board-serial: found"],
		[[...FIRST, "--link", "radio"], "allowed: none, gadget or cable"],
		[[...FIRST, "--link", "cable"], "--link-serial: found nothing"],
		[[...FIRST, "--link", "cable", "--link-serial", FIRST[3]], "another device's"],
		[[...FIRST, "--link-serial", "x"], "allowed: it with --link cable"],
		[["--purge"], "--purge: found it alone"],
		[["--frob"], 'found "--frob"'],
		[["--rig"], "--rig: found nothing"],
	])("refuses %j and leaves nothing behind", (args, words) => {
		const into = freshRoot();
		const refused = install(into, ...args);
		expect(refused.status).toBe(2);
		expect(refused.stderr).toContain(words);
		expect(tree(into)).toEqual([]);
	});
});

describe("the udev rule", () => {
	const into = freshRoot();
	install(into, ...FIRST);
	// Of the link alone: the rest stays as it was at the last time.
	const rules = (link = "none", ...args: string[]) => {
		expect(install(into, "--link", link, ...args).status).toBe(0);
		return readUdevRules(readFileSync(join(into, "etc/udev/rules.d/60-lees.rules"), "utf8"));
	};
	const BOARD = { SUBSYSTEM: "tty", KERNEL: "ttyACM3", ID_BUS: "usb", ID_SERIAL_SHORT: FIRST[3] };
	const CABLE = { ...BOARD, KERNEL: "ttyUSB0", ID_SERIAL_SHORT: "A50285BI" };
	const GADGET = { SUBSYSTEM: "tty", KERNEL: "ttyGS0" };

	it("names the board by its serial number, for its user alone, and starts the controller", () => {
		const told = rules()(BOARD);
		expect(told).toMatchObject({ SYMLINK: ["lees-board"], GROUP: ["lees"], MODE: ["0660"] });
		expect(told).toMatchObject({ "ENV{SYSTEMD_WANTS}": ["lees-control.service"] });
		expect(told).toMatchObject({ TAG: ["systemd"], "ENV{ID_MM_DEVICE_IGNORE}": ["1"] });
		expect(rules()({ ...BOARD, ID_SERIAL_SHORT: "another" })).toEqual({});
		expect(rules()({ ...BOARD, SUBSYSTEM: "net" })).toEqual({});
		expect(rules()({ ...BOARD, ACTION: "remove" })).toEqual({});
	});

	it("names the link that was chosen and no other", () => {
		const cable = rules("cable", "--link-serial", "A50285BI");
		expect(cable(CABLE)).toMatchObject({ SYMLINK: ["lees-link"], MODE: ["0660"] });
		expect(cable(CABLE)).not.toHaveProperty("ENV{SYSTEMD_WANTS}");
		expect(cable(GADGET)).toEqual({});
		expect(rules("gadget")(GADGET)).toMatchObject({ SYMLINK: ["lees-link"] });
		expect(rules("gadget")(CABLE)).toEqual({});
		expect(rules()(GADGET)).toEqual({});
	});

	it("has no fault for the strict reader, nor for udev's own where it has one", () => {
		rules();
		const file = join(into, "etc/udev/rules.d/60-lees.rules");
		const good = readFileSync(file, "utf8");
		expect(() => readUdevRules(good)).not.toThrow();
		for (const [what, by] of [
			['GROUP="lees"', 'GRUP="lees"'],
			['GOTO="lees_end"', 'GOTO="elsewhere"'],
			['SYMLINK+="lees-board",', 'SYMLINK+="lees-board"'],
			['SUBSYSTEM!="tty"', "SUBSYSTEM!=tty"],
		] as const) {
			expect(() => readUdevRules(good.replace(what, by)), by).toThrow();
		}
		// Debian 13's has the command, Debian 12's does not.
		const version = Number.parseInt(run("udevadm", "--version").stdout, 10);
		const verified = run("udevadm", "verify", "--resolve-names=never", file);
		expect(verified.status === 0).toBe(version >= 254);
	});
});
