// Hooks as they are typed: what cannot work in the night is refused at the beginning. Programs and
// folders are real.

import { chmodSync, mkdirSync, mkdtempSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { type HookOptions, hookSettings } from "../../host/bridges/hook-settings.ts";

const folder = mkdtempSync(join(tmpdir(), "lees-settings-"));
const program = join(folder, "horn ashore");
writeFileSync(program, "#!/bin/sh\n");
chmodSync(program, 0o755);
writeFileSync(join(folder, "letter"), "no program\n");
mkdirSync(join(folder, "drawer"));

const webhook = (url: string, webhookAnywhere = false) =>
	hookSettings({ webhook: url, webhookAnywhere })?.webhook?.href;

describe("without hooks", () => {
	it("there is nothing, and nothing beside it", () => {
		expect(hookSettings({})).toBeNull();
		expect(() => hookSettings({ tellAgainMinutes: 5 })).toThrow("--on-trip");
		expect(() => hookSettings({ webhookAnywhere: true })).toThrow("--webhook URL");
	});
});

describe("a program", () => {
	it("is found by its path, or by its name where programs are", () => {
		expect(hookSettings({ onTrip: program, tellAgainMinutes: 5 })).toEqual({
			command: program,
			webhook: null,
			againMs: 300_000,
		});
		expect(hookSettings({ onTrip: "sh" })?.command).toMatch(/^\/.*\/sh$/);
	});

	it.each<[string, HookOptions]>([
		["is not there", { onTrip: join(folder, "gone") }],
		["may not be run", { onTrip: join(folder, "letter") }],
		["is a folder", { onTrip: join(folder, "drawer") }],
		["has arguments", { onTrip: `${program} now` }],
		["is nowhere where programs are", { onTrip: "no-such-program-anywhere" }],
		["is no word", { onTrip: "" }],
	])("that %s is refused", (_, options) => {
		expect(() => hookSettings(options)).toThrow(/--on-trip {2}found/);
	});
});

describe("an address", () => {
	it.each([
		["http://127.0.0.1:8080/trips?key=1"],
		["http://127.8.0.1/"],
		["http://[::1]:8080/"],
		["http://localhost/"],
		["https://localhost/"],
		// Other ways of writing 127.0.0.1.
		["http://0x7f.1/"],
	])("on this computer may be named: %s", (url) => {
		expect(webhook(url)).toBe(new URL(url).href);
	});

	it.each([
		["http://192.168.1.5/"],
		["http://example.org/"],
		["http://127.0.0.1.example.org/"],
		["http://localhost.example.org/"],
		["http://[::ffff:7f00:1]/"],
		["http://0.0.0.0/"],
	])("elsewhere only where it is said: %s", (url) => {
		expect(() => webhook(url)).toThrow("--webhook-anywhere");
		expect(webhook(url, true)).toBe(new URL(url).href);
	});

	it.each([
		["horn"],
		["file:///etc/passwd"],
		["ftp://127.0.0.1/"],
		["http://a:b@127.0.0.1/"],
		[""],
	])("of no use is refused: %s", (url) => {
		expect(() => webhook(url, true)).toThrow(/--webhook {2}found/);
	});
});
