// Bad input as data: what, where, what was found, what is allowed. The text is made last, by
// the one who prints it. Every reader of outside input (rig, pin map, scenario) throws this.

/** One thing that is wrong with an input. `line` and `column` count from 1. */
export interface Problem {
	readonly file: string;
	readonly line?: number;
	readonly column?: number;
	readonly key?: string;
	readonly found: string;
	readonly allowed: string;
}

/** Thrown by everything that reads input; never thrown once a controller runs. */
export class InputError extends Error {
	readonly problems: readonly Problem[];

	constructor(problems: readonly Problem[]) {
		super(problems.map(describeProblem).join("\n"));
		this.name = "InputError";
		this.problems = problems;
	}
}

/** `file:line:column  key: found X; allowed: Y`, leaving out what is not known. */
export function describeProblem(problem: Problem): string {
	const { file, line, column, key, found, allowed } = problem;
	const where = line === undefined ? file : `${file}:${line}:${column ?? 1}`;
	const what = key === undefined || key === "" ? "" : `${key}: `;
	return `${where}  ${what}found ${found}; allowed: ${allowed}`;
}

/** The words of whatever was thrown. */
export function messageOf(error: unknown): string {
	return error instanceof Error ? error.message : String(error);
}
