// `npm run reference -- FILE.json`: builds and compares a file of reference rows with the project's
// own functions. What it prints and how it ends stands in test/reference/report.ts.

import { build, installMissing, run } from "./prepare.mjs";

installMissing();
build();
run(process.execPath, [".build/test/reference/report.js", ...process.argv.slice(2)]);
