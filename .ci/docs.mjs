// `npm run docs`: writes the generated tables of README and DEVELOPERS.md anew from the built code.

import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { build, root } from "./prepare.mjs";

build();
const { setpointTable, tripTable, withSection } = await import("../.build/host/report/tables.js");

const rewrite = (file, name, text) => {
	const path = join(root, file);
	writeFileSync(path, withSection(readFileSync(path, "utf8"), name, text));
};
rewrite("README.md", "trips", tripTable());
rewrite("DEVELOPERS.md", "setpoints", setpointTable());
