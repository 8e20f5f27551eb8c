// A rig as a file that a person can read and change, in the manner of scenario-file.ts. It is read
// again by the rig file's own reader. Pure.

import { type Rig, readRig } from "../../firmware/config/rig.ts";
import { isSame, type Tree, textOf, withoutDefaults } from "./scenario-file.ts";

/** @param head comment lines */
export function rigText(rig: Rig, head: readonly string[]): string {
	const isWhole = (tree: Tree) => {
		const read = attempt(() => readRig(JSON.stringify(tree), rig.rig));
		return read !== null && isSame(read, rig);
	};
	const bare = withoutDefaults(JSON.parse(JSON.stringify(rig)) as Tree, isWhole);
	return `${head.map((line) => `# ${line}\n`).join("")}${textOf(bare)}`;
}

function attempt<T>(work: () => T): T | null {
	try {
		return work();
	} catch {
		return null;
	}
}
