// `lees coverage`: which hazards a rig's sensors cover, and whether it may be left alone. Exit 0
// when it may, 1 when it may not.

import { readInputFile } from "../../firmware/config/input-file.ts";
import { readRig } from "../../firmware/config/rig.ts";
import { coverageLines, coverageResult } from "../report/coverage-account.ts";
import { EXIT } from "./exit.ts";

export interface CoverageOptions {
	readonly json?: boolean;
}

/** @returns the exit status @throws InputError */
export function coverage(rigFile: string, { json }: CoverageOptions): number {
	const result = coverageResult(readRig(readInputFile(rigFile), rigFile));
	const text = json === true ? JSON.stringify(result, null, 2) : coverageLines(result).join("\n");
	process.stdout.write(`${text}\n`);
	return result.mayBeLeftAlone ? EXIT.good : EXIT.doesNotHold;
}
