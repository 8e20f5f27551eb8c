// `lees commission` as a person has it: a pseudo-terminal, a controller process, a serial line and
// an emulated board whose lamps, horn and buttons are all that the person has. The guide is killed
// in mid-step, and so is the controller: what had passed stays passed.

import { type ChildProcess, spawn } from "node:child_process";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { stripVTControlCharacters } from "node:util";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { stepsOf } from "../../firmware/commission/plan.ts";
import { readRig } from "../../firmware/config/rig.ts";
import { type CommissionAnswer, commissionAnswer } from "../../host/report/commission-account.ts";
import { rigFile } from "../stories/world.ts";
import { command } from "./cli.ts";
import { LiveRig, until } from "./live.ts";

const rig = new LiveRig();
const terminals: ChildProcess[] = [];
let controller: ChildProcess | undefined;

beforeAll(async () => {
	await rig.start();
	controller = await rig.control();
}, 60_000);
afterAll(async () => {
	for (const terminal of terminals) terminal.kill("SIGKILL");
	await rig.end();
});

/** The command in a terminal of its own. */
class Guide {
	private all = "";
	private readonly child: ChildProcess;

	constructor(...options: string[]) {
		const lees = [process.execPath, command, "commission", rig.linkAshore, ...options].join(" ");
		const shell = `stty rows 30 cols 100; sh -c 'echo pid=$$; exec ${lees}'; echo status=$?`;
		this.child = spawn("script", ["-qec", shell, "/dev/null"], {
			env: { ...process.env, TERM: "xterm", NO_COLOR: "1" },
			stdio: ["pipe", "pipe", "ignore"],
		});
		terminals.push(this.child);
		this.child.stdout?.on("data", (bytes: Buffer) => {
			this.all += bytes.toString();
		});
	}

	/** Waits for words that came after those that were waited for last. */
	async shows(words: string, seconds = 20): Promise<void> {
		const isThere = () => this.text.includes(words, this.at);
		await until(isThere, seconds).catch(() => {
			throw new Error(`"${words}" is not in ${JSON.stringify(this.text.slice(-1_500))}`);
		});
		this.at = this.text.indexOf(words, this.at) + words.length;
	}

	private at = 0;

	get text(): string {
		return stripVTControlCharacters(this.all);
	}

	/** Answers a question. */
	async type(question: string, keys: string): Promise<void> {
		await this.shows(question);
		this.child.stdin?.write(`${keys}\r`);
	}

	quit(): void {
		this.child.stdin?.write("\u0003");
	}

	kill(): void {
		process.kill(Number(/pid=(\d+)/.exec(this.text)?.[1]), "SIGKILL");
	}
}

const ENTER = "Enter begins it";

async function listed(): Promise<CommissionAnswer> {
	const { stdout, status } = await rig.lees("commission", rig.linkAshore, "--list", "--json");
	expect(status).toBe(1);
	return commissionAnswer.parse(JSON.parse(stdout));
}

const passedOf = ({ steps }: CommissionAnswer): string[] =>
	steps.filter(({ due }) => due === null).map(({ step }) => step);

/** How often the horn has sounded by the board's own file. */
const hornEdges = (): number =>
	rig.edges().filter(({ channel, level }) => channel === "horn" && level === "high").length;

describe("before anything is proven", () => {
	it("lists every step as due, and an order that nobody attends is refused with the way", {
		timeout: 30_000,
	}, async () => {
		const { steps, isCommissioned } = await listed();
		expect(isCommissioned).toBe(false);
		expect(steps).toHaveLength(stepsOf(readRig(readFileSync(rigFile, "utf8"), rigFile)).length);
		expect(steps.every(({ due }) => due === "never passed")).toBe(true);
		const order = await rig.lees("order", "polish", rig.linkAshore, "--tank=port", "--litres=5");
		expect(order.status).toBe(1);
		expect(order.stdout).toContain(`lees commission ${rig.linkAshore} --list`);
	});

	it("refuses to lead where there is no terminal, and a part that there is not", async () => {
		const { status, stderr } = await rig.lees("commission", rig.linkAshore);
		expect(status).toBe(2);
		expect(stderr).toContain("found no terminal on which a person could be asked; allowed: ");
		const other = new Guide("--step", "bowl-zero", "--by", "AB");
		await other.shows(
			"--step: found bowl-zero, for which the rig has no sensor; allowed: identity",
		);
		await other.shows("status=2");
		const changed = await rig.lees("commission", rig.linkAshore, "--changed", "prob", "--by=AB");
		expect(changed.status).toBe(2);
		expect(changed.stderr).toContain('--changed: found "prob"; allowed: probe (did you mean');
	});
});

describe("a person at the rig", () => {
	it("is led: what is true passes, a miscounted horn does not, and the right count does", {
		timeout: 90_000,
	}, async () => {
		const guide = new Guide();
		await guide.shows("The controller's clock is set from this computer");
		await guide.type(ENTER, "");
		await guide.type("Your initials", "AB");
		await guide.type("the rig's name as it stands on the box: ", "Teal Willow portable rig");
		await guide.type("one contact alone (0): ", "0");
		await guide.shows("Passed: The rig, its file and its pins.");
		await guide.shows("Both lamps (lamps");
		await guide.type(ENTER, "s");
		await guide.shows("The horn (horn");
		const count = async (off: number) => {
			await guide.shows("Press the box's button");
			const before = hornEdges();
			rig.do("press");
			await guide.type("times that the horn sounded", "no number");
			const heard = hornEdges() - before;
			expect(heard).toBeGreaterThanOrEqual(1);
			expect(heard).toBeLessThanOrEqual(6);
			await guide.type('found "no number"; allowed: ', String(heard + off));
		};
		await guide.type(ENTER, "");
		await count(1);
		await guide.shows("Not passed: The horn.");
		await guide.shows(" were shown, ");
		await guide.type("r tries it again", "r");
		await count(0);
		await guide.shows("Passed: The horn.");
		// Its end ends the step that is under way: the next guide finds none.
		await guide.type(ENTER, "");
		await guide.shows("Press the box's button");
		guide.quit();
		await guide.shows("What has passed stays passed");
		await guide.shows("status=1");
		expect(passedOf(await listed())).toEqual(["identity", "horn"]);
	});

	it("who loses the guide in mid-step goes on with that step in another one", {
		timeout: 90_000,
	}, async () => {
		const lost = new Guide("--step", "stop-loop", "--by", "AB");
		await lost.type(ENTER, "");
		await lost.shows("Press the box's button");
		rig.do("press");
		await lost.shows("> Press the stop button.");
		lost.kill();
		await lost.shows("status=137");
		const guide = new Guide("--by", "AB");
		await guide.shows("Under way: The stop button is seen");
		rig.do("stop");
		await guide.shows("> The stop button is released.");
		rig.do("release");
		await guide.shows("Passed: The stop button is seen.");
		await guide.shows("Tripped: stop-button");
		rig.do("press");
		await guide.shows("Acknowledged.");
		await guide.type(ENTER, "q");
		await guide.shows("status=1");
		expect(passedOf(await listed())).toEqual(["identity", "horn", "stop-loop"]);
	});

	it("whose controller is killed in mid-step begins that step again, and nothing else", {
		timeout: 120_000,
	}, async () => {
		const guide = new Guide("--step", "supply", "--by", "AB");
		await guide.type(ENTER, "");
		await guide.shows("Press the box's button");
		rig.do("press");
		await guide.type("the multimeter, V (8 to 32): ", "12.7");
		await guide.shows("Keep still");
		controller?.kill("SIGKILL");
		await guide.shows("The line is lost");
		controller = await rig.control();
		await guide.shows("what had passed stays passed");
		await guide.type(ENTER, "");
		await guide.shows("Press the box's button");
		rig.do("press");
		await guide.type("the multimeter, V (8 to 32): ", "12.7");
		await guide.shows("Passed: Supply volts beside a meter.");
		await guide.shows("status=1");
		expect(passedOf(await listed())).toEqual(["identity", "horn", "stop-loop", "supply"]);
	});
});

describe("a part that was changed", () => {
	it("makes its steps due again, and the list says why", async () => {
		const asked = ["commission", rig.linkAshore, "--changed", "monitor"];
		const nobody = await rig.lees(...asked);
		expect(nobody.status).toBe(2);
		expect(nobody.stderr).toContain("--by: found none");
		const { status, stdout } = await rig.lees(...asked, "--by", "AB");
		expect(status).toBe(0);
		expect(stdout).toContain("Changed: the monitor of volts and amps");
		expect(stdout).toContain("Due because of it:\n  supply: Supply volts beside a meter\n  amps: ");
		expect(stdout).not.toContain("lamps: ");
		const { stdout: list } = await rig.lees("commission", rig.linkAshore, "--list");
		expect(list).toMatch(/supply +Supply volts beside a meter; passed .*changed/s);
	});
});

describe("the sheet", () => {
	it("is written for a rig file and a controller, never over a file that is there", async () => {
		const sheet = join(rig.folder, "sheet.html");
		const print = (target: string, file: string) => rig.lees("commission", target, "--print", file);
		expect((await print(rigFile, sheet)).status).toBe(0);
		const again = await print(rigFile, sheet);
		expect(again.status).toBe(2);
		expect(again.stderr).toContain("a file that is there already");
		const pdf = await print(rig.linkAshore, join(rig.folder, "sheet.pdf"));
		expect(pdf.status).toBe(0);
	});
});
