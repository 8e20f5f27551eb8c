// A reader of the few forms of udev rules that this project writes, and what a device gets by them.
// Debian 12's udev has no checker of its own for a file elsewhere (`udevadm verify` came with 254),
// so this one is strict: a key, an operator or a form that it does not know is an error. Source:
// udev(7). Patterns are not needed here and are refused.

export interface Device {
	readonly ACTION?: string;
	readonly SUBSYSTEM: string;
	readonly KERNEL: string;
	readonly ID_BUS?: string;
	readonly ID_SERIAL_SHORT?: string;
}

interface Part {
	readonly key: string;
	readonly operator: string;
	readonly value: string;
}

const MATCHES = /^(ACTION|SUBSYSTEM|KERNEL|SUBSYSTEMS|ENV\{\w+\})$/;
const GIVES = /^(SYMLINK|GROUP|MODE|TAG|ENV\{\w+\}|IMPORT\{builtin\}|GOTO|LABEL)$/;
const PART = /^([A-Z]+(?:\{\w+\})?)(==|!=|\+=|=)"([^"*?[\]|]*)"$/;

/** @returns what a device is given, by key @throws Error on a line that is not understood */
export function readUdevRules(text: string): (device: Device) => Record<string, string[]> {
	const rules = text
		.split("\n")
		.filter((line) => line.trim() !== "" && !line.startsWith("#"))
		.map((line) => line.split(", ").map(readPart));
	const labels = rules.flatMap((parts) => parts.filter(({ key }) => key === "LABEL"));
	for (const { key, value } of rules.flat()) {
		if (key === "GOTO" && !labels.some((label) => label.value === value)) {
			throw new Error(`no label ${value}`);
		}
	}
	return (device) => apply(rules, device);
}

function readPart(text: string): Part {
	const [, key = "", operator = "", value = ""] = PART.exec(text) ?? [];
	const isMatch = operator === "==" || operator === "!=";
	if (!(isMatch ? MATCHES : GIVES).test(key)) throw new Error(`not understood: ${text}`);
	return { key, operator, value };
}

function apply(rules: ReadonlyArray<readonly Part[]>, device: Device): Record<string, string[]> {
	const given: Record<string, string[]> = {};
	let goal: string | null = null;
	for (const parts of rules) {
		const label = parts.find(({ key }) => key === "LABEL")?.value;
		if (goal !== null && label !== goal) continue;
		goal = null;
		if (!parts.every((part) => holds(part, device))) continue;
		for (const { key, operator, value } of parts) {
			if (operator === "==" || operator === "!=") continue;
			if (key === "GOTO") goal = value;
			else if (key !== "LABEL" && key !== "IMPORT{builtin}") {
				given[key] = operator === "+=" ? [...(given[key] ?? []), value] : [value];
			}
		}
	}
	return given;
}

function holds({ key, operator, value }: Part, device: Device): boolean {
	if (operator !== "==" && operator !== "!=") return true;
	return (found(key, device) === value) === (operator === "==");
}

function found(key: string, device: Device): string {
	if (key === "ACTION") return device.ACTION ?? "add";
	// A tty on the bus has a parent there.
	if (key === "SUBSYSTEMS") return device.ID_BUS ?? "";
	const name = /^ENV\{(\w+)\}$/.exec(key)?.[1] ?? key;
	return (device as unknown as Record<string, string | undefined>)[name] ?? "";
}
