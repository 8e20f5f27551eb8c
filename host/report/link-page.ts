// The generated tables of firmware/link/PROTOCOL.md: methods with parameters and results, errors,
// limits, notices and kinds of records, made from the schemas that the controller itself uses.

import type { z } from "zod";
import {
	type Method,
	noticeSchema,
	RPC_ERROR,
	requestSchema,
	results,
} from "../../firmware/link/protocol.ts";
import { helloOf } from "../../firmware/link/session.ts";
import { recordSchema } from "../../firmware/log/record.ts";
import { versionOf } from "../../firmware/log/record-text.ts";
import { UNKNOWN_WORDS } from "../../firmware/log/sample-columns.ts";
import { batchDump, helloDump, windowDump } from "./link-dump.ts";
import { jsonOf, keyRowsOf, keysOf, kindOf, objectIn } from "./schema-rows.ts";
import { table } from "./tables.ts";

/** What a method does, and when its answer comes. */
const methodWords: Record<Method, string> = {
	hello:
		"Who is there and what may be asked. Begins the conversation anew: transfers of this line end.",
	status: "How the controller stands. Changes nothing.",
	polish:
		"Orders a polish. The answer comes when the run has begun, or with the reasons against it.",
	transfer: "Orders a transfer from one tank into another. Answered like `polish`.",
	sweep: "Orders bursts from a tank's floor. Answered like `polish`.",
	plan: "Work that begins by itself at a time. It arms nothing: a person does that at the rig.",
	"cancel-plan": "A plan that waits does not begin.",
	"clock.set": "Tells the local time: the controller has no clock. Dates the records of this boot.",
	stop:
		"The pump goes off in the very tick that hears it; the answer is sent at once. " +
		"Never refused, never held back for a repeated id.",
	acknowledge:
		"Acknowledges the open trips; those that need a person at the box are refused from here.",
	"note-drained": "Writes down how much water somebody has drained.",
	"log.read": "Begins a transfer: at most `frames` log frames follow the answer.",
	"log.more": "Lets a transfer send so many more frames, up to the most there may be.",
	"log.cancel": "Ends a transfer. A frame that is on its way may still come.",
	senses: "What the last tick made of its sensors, and what stands against an acknowledgement.",
	"rig.read":
		"The rig file's text, from an offset on: at least one character, until it ends. Offsets " +
		"count UTF-16 code units; no part ends within a character.",
	"pair.show":
		"Shows a code of six digits at the controller, for three minutes; the one before ends. A " +
		"page that orders for a person asks for it, so that who orders has stood at the rig. Codes " +
		"that nobody used make the next one wait longer, up to ten minutes.",
	"pair.check":
		"Whether the code is the one that is shown. It is used up when it is right, and after five " +
		"tries.",
	"window.list": "Windows of tick inputs that the log keeps. Ask on after the last one told.",
	"window.read":
		"Sends frames of a window, beside transfers of the log and behind them. One at a time: a new " +
		"request ends the one before. The answer comes when the window is ready, in a second or so.",
	"proof.list":
		"The steps of commissioning of this rig and what is due, some at a time: ask on until `total`.",
	"proof.now": "The step under way: what it waits for and what it sees. Changes nothing.",
	"proof.begin":
		"Begins a step, at rest only. Most then wait for a press of the box's button: a link alone " +
		"proves nothing.",
	"proof.answer": "Values that the step under way asks for.",
	"proof.end": "Gives the step under way up; nothing is proven by it.",
	"part.changed": "A part was changed: its steps are due again.",
	"fill.list": "Fills of the measuring can, newest last, and the factor that they make.",
	"fill.strike": "A fill does not count any more, and why. It stays in the log.",
};

/** Each method with its words, parameters and result. */
function methodTables(): string {
	const params = new Map<string, z.ZodType>(
		requestSchema.options.map(({ shape }) => [shape.method.value, shape.params]),
	);
	const one = (method: Method) => {
		const schema = params.get(method);
		const rows = schema === undefined ? [] : rowsOf(schema);
		const head = `### \`${method}\`\n\n${methodWords[method]}\n`;
		const asked = rows.length === 0 ? "No parameters (`{}`).\n" : fields("parameter", rows);
		const isDecision = results[method] === results.polish;
		const decision = "The result is a [decision](#decisions).\n";
		const result = isDecision ? decision : fields("result", rowsOf(results[method]));
		return `${head}\n${asked}\n${result}`;
	};
	return (Object.keys(results) as Method[]).map(one).join("\n").trimEnd();
}

function decisionTable(): string {
	return fields("decision", rowsOf(results.polish)).trimEnd();
}

function noticeTable(): string {
	return fields("`log.pause`", rowsOf(noticeSchema.shape.params)).trimEnd();
}

const errorWords: Record<keyof typeof RPC_ERROR, string> = {
	parse: "the payload is no JSON; `id` is null",
	invalidRequest: "no request of this protocol, or its `id` is no whole number; `id` is null",
	methodNotFound: "no such method",
	invalidParams: "parameters that the method does not take; nothing was done",
	internal: "the controller could not answer; the message says why",
	busy: "too much is under way on this line: ask again later",
	noTransfer: "the transfer has ended, or never began",
	noWindow: "no record has pinned such a window, or it has made room for newer ones",
};

function errorTable(): string {
	const rows = Object.entries(RPC_ERROR).map(([name, code]) => [
		code,
		errorWords[name as keyof typeof RPC_ERROR],
	]);
	return table([["code", "means"], ...rows]);
}

/** As the controller says them in its hello. */
function limitTable(): string {
	const { limits } = helloOf({ storeId: "", boot: 1, rig: "" });
	const rows = rowsOf(results.hello.shape.limits).map(({ name, meaning }) => [
		name,
		limits[name.replaceAll("`", "") as keyof typeof limits],
		meaning,
	]);
	return table([["limit", "now", "means"], ...rows]);
}

/** Codes of the words that stand for a quantity in a column. */
function wordTable(): string {
	const rows = UNKNOWN_WORDS.map((word, i) => [i + 1, `\`${word}\``]);
	return table([["code", "word"], [0, "numbers"], ...rows]);
}

/** Every kind of record in the version that is written now, with its keys in their order. */
function recordTable(): string {
	const rows = recordSchema.options.map((schema) => {
		const { seq, boot, monoMs, kind, ...body } = schema.shape;
		const keys = Object.entries(body).map(([name, value]) => {
			const inner = jsonOf(value as z.ZodType);
			const keys = keysOf(objectIn(inner));
			return `${name}: ${kindOf(inner)}${keys === "" ? "" : ` {${keys}}`}`;
		});
		const name = kind.value;
		return [`\`${name}\``, versionOf(name), keys.length === 0 ? "nothing" : keys.join("; ")];
	});
	return table([["kind", "v", "after the head"], ...rows]);
}

interface Row {
	readonly name: string;
	readonly value: string;
	readonly meaning: string;
}

function rowsOf(schema: z.ZodType): Row[] {
	return keyRowsOf(jsonOf(schema)).map(({ name, kind, isOptional, preset, meaning }) => {
		const unless = preset === null ? "" : `, else ${preset}`;
		const suffix = isOptional ? ` (may be left out${unless})` : "";
		return { name: `\`${name}\``, value: `${kind}${suffix}`, meaning };
	});
}

function fields(head: string, rows: readonly Row[]): string {
	const lines = rows.map(({ name, value, meaning }) => [name, value, meaning]);
	return `${table([[head, "is", "means"], ...lines])}\n`;
}

/** All generated sections of the page by the names of their marks. */
export function linkSections(): Record<string, string> {
	return {
		errors: errorTable(),
		limits: limitTable(),
		methods: methodTables(),
		decision: decisionTable(),
		records: recordTable(),
		notice: noticeTable(),
		words: wordTable(),
		hello: helloDump(),
		batch: batchDump(),
		window: windowDump(),
	};
}
