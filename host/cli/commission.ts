// `lees commission`: what of a rig is proven and what is due; a person led through it, step by
// step, at a terminal; the procedure on paper. The controller keeps the evidence, and this
// command none.

import { type Part, partRows, parts } from "../../firmware/commission/parts.ts";
import { type Step, stepRows, steps } from "../../firmware/commission/step-rows.ts";
import { INITIALS_MAX } from "../../firmware/commission/steps.ts";
import { InputError } from "../../firmware/config/input-error.ts";
import { readInputFile } from "../../firmware/config/input-file.ts";
import { type Rig, readRig } from "../../firmware/config/rig.ts";
import { didYouMean } from "../../firmware/config/schema-words.ts";
import { systemPorts } from "../link/reconnect.ts";
import { SteadyLink } from "../link/steady-link.ts";
import type { PaperSize } from "../report/blocks.ts";
import { harmless } from "../report/cell-width.ts";
import { commissionLines, commissionOf } from "../report/commission-account.ts";
import { canAsk } from "./commission/console.ts";
import { newId, readSteps } from "./commission/desk.ts";
import { fillLines } from "./commission/guide-words.ts";
import { EXIT } from "./exit.ts";
import { refuseExisting, writeNewFile } from "./new-file.ts";
import { endSignal } from "./signals.ts";

export interface CommissionOptions {
	readonly list?: boolean;
	readonly json?: boolean;
	readonly step?: string;
	readonly by?: string;
	readonly tank?: string;
	readonly changed?: string;
	readonly print?: string;
	readonly paper: PaperSize;
	readonly write?: string;
	readonly patienceSeconds: number;
}

const FILE = "lees commission";
/** What a command may be asked for beside being led. */
const MODES = ["list", "changed", "print", "write"] as const;

/** @throws InputError */
export async function commission(
	target: string | undefined,
	options: CommissionOptions,
): Promise<number> {
	const asked = MODES.filter((mode) => options[mode] !== undefined);
	if (asked.length > 1) {
		const found = asked.map((mode) => `--${mode}`).join(" and ");
		throw wrong("", found, "one of them");
	}
	if (options.print !== undefined) return printSheetOf(target, options.print, options.paper);
	if (target === undefined) throw wrong("", "no PORT", "the link's serial port, or a local socket");
	refuseRigFile(target);
	const step = nameIn(steps, options.step, "--step");
	const changed = nameIn(parts, options.changed, "--changed");
	const { by } = options;
	if (by !== undefined && (by.length < 1 || by.length > INITIALS_MAX)) {
		throw wrong("--by", `${by.length} characters`, `1 to ${INITIALS_MAX}`);
	}
	refuseExisting([options.write]);
	const isLed = asked.length === 0 && options.json !== true;
	if (isLed && !canAsk()) {
		const allowed = "a terminal, or --list, --changed, --write or --print";
		throw wrong("", "no terminal on which a person could be asked", allowed);
	}
	const { signal, end } = endSignal();
	const patience = { ...systemPorts, patienceMs: options.patienceSeconds * 1_000, signal };
	const link = await SteadyLink.open(target, patience);
	try {
		if (!link.hello.methods.includes("proof.list")) {
			throw wrong("", "a controller without commissioning", "one of this program's version");
		}
		if (changed !== null) return await tellChange(link, changed, options.by);
		if (options.write !== undefined) return await writeRig(link, options.write);
		if (!isLed) return await showList(link, target, options.json === true);
		const { lead } = await import("./commission/lead.ts");
		const { tank } = options;
		const given = { ...(step && { step }), ...(by && { by }), ...(tank && { tank }) };
		return await lead(link, given, signal, end);
	} finally {
		await link.close();
	}
}

async function showList(link: SteadyLink, port: string, isJson: boolean): Promise<number> {
	const answer = commissionOf(link.hello.rig, await readSteps(link.client));
	const text = isJson ? JSON.stringify(answer, null, 2) : commissionLines(answer, port).join("\n");
	process.stdout.write(`${isJson ? text : text.split("\n").map(harmless).join("\n")}\n`);
	return answer.isCommissioned ? EXIT.good : EXIT.doesNotHold;
}

/** Its steps are due again. */
async function tellChange(link: SteadyLink, part: Part, by = ""): Promise<number> {
	if (by === "") throw wrong("--by", "none", "the initials of who changed it");
	const { client } = link;
	const { accepted, reasons } = await client.call("part.changed", { id: newId(), part, by });
	if (!accepted) {
		process.stdout.write(`refused: ${reasons.join("; ")}\n`);
		return EXIT.doesNotHold;
	}
	const { steps: all } = commissionOf(link.hello.rig, await readSteps(client));
	const due = all.filter((row) => row.due !== null);
	const own = due.filter(({ step }) => isOf(step, part));
	process.stdout.write(`Changed: ${partRows[part].words}. Due because of it:\n`);
	for (const { step, title } of own) process.stdout.write(`  ${step}: ${title}\n`);
	process.stdout.write(`${due.length} of ${all.length} steps are due in all.\n`);
	return EXIT.good;
}

const isOf = (step: string, part: Part): boolean =>
	steps.some((one) => one === step && (stepRows[one].parts as readonly string[]).includes(part));

/** The rig file that the controller has, with what the fills gave, into a new file. */
async function writeRig(link: SteadyLink, file: string): Promise<number> {
	const fills = await link.client.call("fill.list", {});
	for (const { text } of fillLines(fills)) process.stdout.write(`${text}\n`);
	const { readRigText } = await import("../serve/rig-reading.ts");
	const { calibratedRig } = await import("./commission/rig-copy.ts");
	writeNewFile(file, calibratedRig(await readRigText(link), fills, "the controller's rig file"));
	process.stdout.write(
		`written: ${file}\nLook at it, put it in the old one's place and begin the controller anew ` +
			"with it; in the step meter, fills that have not been judged by it still count.\n",
	);
	return EXIT.good;
}

async function printSheetOf(
	target: string | undefined,
	file: string,
	size: PaperSize,
): Promise<number> {
	const { printSheet, refuseOtherKinds } = await import("./commission/print.ts");
	refuseOtherKinds(file);
	refuseExisting([file]);
	await printSheet(await rigFor(target), file, size);
	return EXIT.good;
}

const isRigFile = (target: string): boolean => /\.ya?ml$/i.test(target);

/** Of a file, of a controller, or of none in particular. */
async function rigFor(target: string | undefined): Promise<Rig | null> {
	if (target === undefined) return null;
	if (isRigFile(target)) return readRig(readInputFile(target), target);
	const link = await SteadyLink.open(target, { ...systemPorts, patienceMs: 0 });
	try {
		const { readRigText } = await import("../serve/rig-reading.ts");
		return readRig(await readRigText(link), "the controller's rig file");
	} finally {
		await link.close();
	}
}

function refuseRigFile(target: string): void {
	if (!isRigFile(target)) return;
	throw wrong("", `the rig file ${target}`, "the link of its controller, or --print with it");
}

/** @throws InputError with the names that there are */
function nameIn<N extends Step | Part>(
	names: readonly N[],
	typed: string | undefined,
	key: string,
): N | null {
	if (typed === undefined) return null;
	const name = names.find((one) => one === typed);
	if (name !== undefined) return name;
	throw wrong(key, `"${typed}"`, didYouMean(typed, names));
}

const wrong = (key: string, found: string, allowed: string): InputError =>
	new InputError([{ file: FILE, ...(key !== "" && { key }), found, allowed }]);
