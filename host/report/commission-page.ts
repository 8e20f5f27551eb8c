// hardware/COMMISSIONING.md: every step of commissioning with what is done, its cautions, what is
// read and when it is due again, made from the firmware's catalogue. `npm run docs` writes it, a
// test holds it. Pure.

import { partRows, parts } from "../../firmware/commission/parts.ts";
import { type Step, stepRows, steps } from "../../firmware/commission/step-rows.ts";
import { againWords, type Group, groupOf, groups, linesOf } from "./commission-steps.ts";
import { table } from "./tables.ts";

const PARAGRAPHS = [
	"# Commissioning",
	"Made by `npm run docs` from `firmware/commission/step-rows.ts`, which the controller " +
		"itself follows.",
	[
		"```sh",
		"lees commission PORT                            # guided: one step at a time, at the rig",
		"lees commission PORT --list                     # what is due, and why; exit 1 when a step is",
		"lees commission PORT --changed probe --by AB    # a part was changed: its steps are due again",
		"lees commission PORT --write NEW.rig.yaml       # the rig file with the meter's factor put in",
		"lees commission RIG.rig.yaml --print sheet.pdf  # the steps of that rig for a clipboard",
		"```",
	].join("\n"),
	"Until every step that a rig has is passed and not due, an order that nobody attends is " +
		"refused. The controller decides that by the evidence in its own log; a computer that " +
		"asks only leads the person. A log that is lost proves nothing any more, and the steps " +
		"are due again.",
	"**Local codes, the insurer and licensed practice come first. Diesel burns; never " +
		"petrol, never fuel of which nobody knows what it is. Two people, eye protection, " +
		"gloves, an extinguisher for oil fires in reach, the bilge pump off. Isolator off and " +
		"locked before a hand goes to bowl, element or pump.** No part of this is a " +
		"safety-rated device.",
	"A step begins with a press of the box's button, so that somebody stands there; one " +
		"that is only told begins at once. What needs the pump is an ordinary attended order " +
		"that the person confirms. A step in which nobody does anything ends by itself after 15 " +
		"minutes and proves nothing.",
];

const groupWords: Readonly<Record<Group, string>> = {
	"at rest": "The pump stands still.",
	"with the pump": "Tray, absorbent, full bowl, no flame, a hand at the stop button.",
	"trips by hand": "A person makes the rig stop while it pumps, then acknowledges at the box.",
};

const nameOf = (part: string): string => `\`${part}\``;

export function commissionPage(): string {
	return [
		`${PARAGRAPHS.join("\n\n")}\n`,
		...groups.flatMap((group) => [
			`## ${group.charAt(0).toUpperCase()}${group.slice(1)}\n\n${groupWords[group]}\n`,
			...steps.filter((step) => groupOf(step) === group).map(stepText),
		]),
		partText(),
	].join("\n");
}

function stepText(step: Step): string {
	const row = stepRows[step];
	const lines = linesOf(row).map(({ words, allowed }) => [words, allowed]);
	const only = row.needs.length === 0 ? "" : ` Only with: ${row.needs.map(nameOf).join(", ")}.`;
	return [
		`### ${row.title}`,
		`\`${step}\`: due again ${againWords(row, nameOf)}.${only}`,
		row.how,
		`**${row.cautions}**`,
		`${table([["read or typed", "must be"], ...lines])}\n`,
	].join("\n\n");
}

function partText(): string {
	const rows = parts.map((part) => {
		const own = steps.filter((step) => (stepRows[step].parts as readonly string[]).includes(part));
		return [`\`${part}\``, partRows[part].words, own.map(nameOf).join(", ")];
	});
	const head = ["`--changed`", "what it is", "steps that are due again"];
	return `## Parts\n\n${table([head, ...rows])}\n`;
}
