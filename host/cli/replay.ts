// `lees replay`: a kept run, or what the archive has of one, through today's logic. Exit 0 when it
// decides the same, 1 when not, 2 when it cannot be decided again.

import { existsSync, readFileSync } from "node:fs";
import { InputError } from "../../firmware/config/input-error.ts";
import { readInputFile } from "../../firmware/config/input-file.ts";
import { type Rig, readRig } from "../../firmware/config/rig.ts";
import { decodeRun, type KeptRun, type Origin } from "../../firmware/log/kept-run.ts";
import type { LogRecord } from "../../firmware/log/record.ts";
import { BadBytes } from "../../firmware/log/varint.ts";
import { loadPins, nameOf, shippedScenarios } from "../../sim/bench/load.ts";
import type { RecordedTicks } from "../../sim/bench/replay.ts";
import { Archive } from "../archive/archive.ts";
import { chosenRigs } from "../archive/export.ts";
import { hasLogOrNote, rigsIn } from "../archive/rig-log.ts";
import type { Run } from "../archive/runs.ts";
import type { ApproximateAnswer, ExactAnswer, ReplayAnswer, Span } from "../replay/answer.ts";
import { type Approximated, approximate } from "../replay/approximate.ts";
import {
	type Chosen,
	chooseRun,
	isOfArchive,
	readWindow,
	recordsOf,
	withEarlier,
} from "../replay/archived-run.ts";
import { type DecidedAgain, decideAgain, Misfit } from "../replay/decide-again.ts";
import { spanOf } from "../replay/decided-span.ts";
import { bootStretches, type Parts, partsOf, windowStretch } from "../replay/recorded-ticks.ts";
import { accountLines } from "../report/account.ts";
import { approximateAccount, exactAccount } from "../report/replay-account.ts";
import { EXIT } from "./exit.ts";
import { logicHere } from "./logic-here.ts";
import { printMarked } from "./paint.ts";
import { projectRoot } from "./root.ts";
import { parseSets, rigWith, type SetpointChange, setOf, setText } from "./set-option.ts";

export interface ReplayOptions {
	readonly archive: string;
	readonly rig?: string;
	readonly rigFile?: string;
	/** Each as `SETPOINT=VALUE`. */
	readonly set: readonly string[];
	readonly json?: boolean;
}

/** Ready to be decided again. */
interface Ready {
	readonly label: string;
	readonly recordedBy: Origin["logic"] | null;
	readonly parts: Parts;
	readonly stretches: readonly RecordedTicks[];
	readonly span: Span | null;
}

/** @returns the exit status @throws InputError */
export async function replayRun(typed: string, options: ReplayOptions): Promise<number> {
	const changes = parseSets(options.set);
	if (!isOfArchive(typed)) return answerExact(ofFile(typed, options), changes, options);
	const archive = new Archive(options.archive, { create: false });
	try {
		const known = rigsIn(archive).filter(hasLogOrNote);
		const rigs = chosenRigs(known, options.rig, options.archive);
		const chosen = chooseRun(archive, rigs, typed, options.archive);
		if (chosen.windows.length > 0) {
			return answerExact(ofWindows(archive, chosen, options), changes, options);
		}
		return answerApproximate(archive, chosen, changes, options);
	} finally {
		archive.close();
	}
}

function answerExact(
	{ label, recordedBy, parts, stretches, span }: Ready,
	changes: readonly SetpointChange[],
	options: ReplayOptions,
): number {
	if (stretches.every(({ tape }) => tape.length === 0)) {
		const found = "no tick inputs: nothing was kept that could be decided again";
		throw new InputError([{ file: label, found, allowed: "a run with at least one tick" }]);
	}
	const rig = rigWith(parts.rig, changes);
	const began = process.hrtime.bigint();
	const again = misfitTold(label, recordedBy, () =>
		decideAgain(stretches, { rig, pins: parts.pins }),
	);
	const wallSeconds = Number(process.hrtime.bigint() - began) / 1e9;
	const answer: ExactAnswer = {
		kind: "exact",
		run: label,
		recordedBy,
		...common(again, rig, wallSeconds, changes, options),
		isIdentical: again.difference === null,
		difference: again.difference,
		lacksSamples: again.lacksSamples,
		span,
		hungAt: again.hungAt,
	};
	print(answer, options, () => exactAccount(answer, changes.map(setText)));
	return answer.isIdentical ? EXIT.good : EXIT.doesNotHold;
}

/** What both answers tell of how the run was decided again. */
function common(
	{ ticks, simulatedMs, records }: Pick<DecidedAgain, "ticks" | "simulatedMs" | "records">,
	rig: Rig,
	wallSeconds: number,
	changes: readonly SetpointChange[],
	{ rigFile }: ReplayOptions,
) {
	return {
		replayedBy: logicHere(),
		set: setOf(changes),
		rigFile: rigFile ?? null,
		ticks,
		simulatedSeconds: simulatedMs / 1000,
		wallSeconds,
		account: accountOf(records, rig),
	};
}

function answerApproximate(
	archive: Archive,
	chosen: Chosen,
	changes: readonly SetpointChange[],
	options: ReplayOptions,
): number {
	const { store, run } = chosen;
	const file = options.archive;
	if (run === null) {
		const found = "neither a window of tick inputs nor a run";
		throw new InputError([{ file, key: "RUN", found, allowed: "a run of `lees runs`" }]);
	}
	const near = originNear(archive, store.storeId, run.begin.boot, file);
	const origin = near?.origin ?? null;
	const isOther = near !== null && near.boot !== run.begin.boot;
	const parts = partsFor(origin, file, options);
	const rig = rigWith(parts.rig, changes);
	const records = recordsOfRun(archive, store.storeId, run);
	const began = process.hrtime.bigint();
	const again: Approximated = approximate(run, records, { rig, pins: parts.pins }, file);
	const wallSeconds = Number(process.hrtime.bigint() - began) / 1e9;
	const answer: ApproximateAnswer = {
		kind: "approximate",
		run: `${chosen.rig}, run ${run.begin.seq}`,
		recordedBy: isOther ? null : (origin?.logic ?? null),
		...common(again, rig, wallSeconds, changes, options),
		hasSameTrip: again.hasSameTrip,
		tripThen: again.tripThen,
		tripNow: again.tripNow,
		outOfStepSeconds: again.outOfStepSeconds,
		assumed: [...again.assumed, ...(isOther ? [otherBoot(near.boot, options)] : [])],
	};
	print(answer, options, () => approximateAccount(answer, changes.map(setText)));
	return answer.hasSameTrip ? EXIT.good : EXIT.doesNotHold;
}

/** What stands in for the run's own, of which no window was kept. */
function otherBoot(boot: number, { rigFile }: ReplayOptions): string {
	const what = rigFile === undefined ? "The rig file and the pin map are" : "The pin map is";
	return `${what} that of boot ${boot}: this run's own boot kept none.`;
}

/** As far as the run goes, in the boot that it began in. */
function recordsOfRun(archive: Archive, storeId: string, { begin, end }: Run): LogRecord[] {
	const toMs = end?.boot === begin.boot ? end.monoMs : Number.POSITIVE_INFINITY;
	return recordsOf(archive, storeId, begin.seq, begin.boot, toMs);
}

function print(
	answer: ReplayAnswer,
	{ json }: ReplayOptions,
	account: () => Parameters<typeof printMarked>[0],
): void {
	if (json === true) process.stdout.write(`${JSON.stringify(answer, null, 2)}\n`);
	else printMarked(account());
}

/** What today's logic tells, boot by boot. */
function accountOf(records: readonly LogRecord[], rig: Rig): ReplayAnswer["account"] {
	const boots = [...new Set(records.map(({ boot }) => boot))];
	return boots.flatMap((boot) =>
		accountLines(
			records.filter((record) => record.boot === boot),
			rig.meter.pulsesPerLitre,
		).map(({ monoMs, what, why }) => ({ boot, atSeconds: monoMs / 1000, what, why })),
	);
}

/** @throws InputError in place of Misfit */
function misfitTold<T>(file: string, by: Origin["logic"] | null, work: () => T): T {
	try {
		return work();
	} catch (error) {
		if (!(error instanceof Misfit)) throw error;
		const who = by === null ? "an older program" : `version ${by.version}, logic ${by.hash}`;
		const found = `a state of ${who} that does not fit today's logic (${error.message})`;
		throw new InputError([{ file, found, allowed: "a window that this version can begin in" }]);
	}
}

/** A file of `lees bench --keep`. @throws InputError */
function ofFile(file: string, options: ReplayOptions): Ready {
	const run = readKept(file);
	const { origin, source } = run.head;
	const parts = partsFor(origin, file, options);
	const stretches = bootStretches(run, parts.rig, file);
	const what =
		source.type === "bench"
			? `${source.scenario} on the bench, ${source.board} board, seed ${source.seed}`
			: `the window of record ${source.seq}`;
	const recordedBy = origin?.logic ?? null;
	return { label: `${file}: ${what}`, recordedBy, parts, stretches, span: null };
}

function readKept(file: string): KeptRun {
	const refuse = (found: string, allowed: string) => new InputError([{ file, found, allowed }]);
	if (!existsSync(file)) {
		if (shippedScenarios(projectRoot).map(nameOf).includes(file)) {
			const allowed = `a run: \`lees bench ${file} --keep F\` plays one and keeps it in F`;
			throw refuse("a scenario", allowed);
		}
		throw refuse("no such file", "a file of `lees bench --keep`, last, or a run's number");
	}
	let bytes: Buffer;
	try {
		bytes = readFileSync(file);
	} catch (error) {
		const code = error instanceof Error && "code" in error ? String(error.code) : String(error);
		throw refuse(code === "EISDIR" ? "a directory" : code, "a file of `lees bench --keep`");
	}
	try {
		return decodeRun(bytes);
	} catch (error) {
		if (!(error instanceof BadBytes)) throw error;
		throw refuse(error.message, "a file of `lees bench --keep`, whole");
	}
}

/** Windows of an archive, each with the records of its time. @throws InputError */
function ofWindows(archive: Archive, chosen: Chosen, options: ReplayOptions): Ready {
	const file = options.archive;
	const { storeId } = chosen.store;
	const windows = withEarlier(archive, storeId, chosen.windows, file);
	const origin = windows[0]?.run.head.origin ?? null;
	const parts = partsFor(origin, file, options);
	const stretches = windows.flatMap(({ name: { seq, boot, toMs }, run }) => {
		const fromSeq = Math.min(firstSeqIn(run), seq);
		const records = recordsOf(archive, storeId, fromSeq, boot, toMs);
		return run.stretches.map((stretch) => windowStretch(stretch, records));
	});
	const names = windows.map(({ name }) => name.seq).join(", ");
	const label = `${chosen.rig}, ${windows.length === 1 ? "window" : "windows"} of record ${names}`;
	const { run, isWhole } = chosen;
	const span = run !== null && isWhole ? spanIn(archive, storeId, run, stretches) : null;
	return { label, recordedBy: origin?.logic ?? null, parts, stretches, span };
}

function spanIn(
	archive: Archive,
	storeId: string,
	run: Run,
	stretches: readonly RecordedTicks[],
): Span {
	const last = recordsOfRun(archive, storeId, run).at(-1);
	return spanOf(run.begin, last?.monoMs ?? run.begin.monoMs, stretches);
}

/** The record that the first state of a window will write next. */
function firstSeqIn({ stretches: [first] }: KeptRun): number {
	const state = first?.begin.type === "state" ? first.begin.state : null;
	const seq: unknown =
		typeof state === "object" && state !== null ? Reflect.get(state, "nextSeq") : null;
	return typeof seq === "number" && seq >= 1 ? seq : 1;
}

/** @throws InputError when neither the run nor the command knows a rig */
function partsFor(origin: Origin | null, file: string, { rigFile }: ReplayOptions): Parts {
	if (origin !== null) {
		const parts = partsOf(origin, file);
		return rigFile === undefined ? parts : { ...parts, rig: readOwn(rigFile) };
	}
	const found = "no rig file of that time: an older program kept it";
	if (rigFile === undefined) {
		throw new InputError([{ file, found, allowed: "--rig-file F, with the rig as it was" }]);
	}
	return { rig: readOwn(rigFile), pins: loadPins(projectRoot) };
}

const readOwn = (rigFile: string): Rig => readRig(readInputFile(rigFile), rigFile);

/** Of the windows of that log one of the same boot, else the nearest; null when there is none. */
function originNear(
	archive: Archive,
	storeId: string,
	boot: number,
	file: string,
): { origin: Origin; boot: number } | null {
	const far = ({ boot: own }: { boot: number }) => Math.abs(own - boot);
	const windows = archive.windows(storeId).sort((a, b) => far(a) - far(b));
	for (const { seq, boot: own } of windows) {
		const { origin } = readWindow(archive, storeId, seq, file).head;
		if (origin !== null) return { origin, boot: own };
	}
	return null;
}
