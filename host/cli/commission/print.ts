// `lees commission --print`: the procedure as a sheet of paper, for a rig file, for the rig of a
// controller, or for none in particular. A file that is there is never written over.

import { InputError } from "../../../firmware/config/input-error.ts";
import type { Rig } from "../../../firmware/config/rig.ts";
import type { PaperSize } from "../../report/blocks.ts";
import { commissionSheet } from "../../report/commission-sheet.ts";
import { en } from "../../web/words/en.ts";
import { writeNewFile } from "../new-file.ts";

/** @throws InputError for a name of another kind, and for a file that is there */
export function refuseOtherKinds(file: string): void {
	if (/\.(pdf|html)$/i.test(file)) return;
	const allowed = "a new file that ends in .pdf or .html";
	throw new InputError([{ file, key: "--print", found: "another kind of file", allowed }]);
}

/** @param rig null: the steps of every rig */
export async function printSheet(rig: Rig | null, file: string, size: PaperSize): Promise<void> {
	const paper = commissionSheet(rig);
	if (/\.html$/i.test(file)) {
		const { htmlPaper } = await import("../../report/html-paper.ts");
		writeNewFile(file, htmlPaper(paper, size));
	} else {
		const { printPaper } = await import("../../report/pdf/printed-paper.ts");
		const { pageOf, shortOfType } = en.season;
		const options = { size, atUtcMs: Date.now(), pageOf, shortOfType };
		writeNewFile(file, await printPaper(paper, options));
	}
	process.stdout.write(`written: ${file}\n`);
}
