// `npm run score`: installs what is missing, builds, and measures how well the detectors do against
// the simulator's truth. What it keeps and how it ends stands in test/score/main.ts.

import { build, installMissing, run } from "./prepare.mjs";

installMissing();
build();
run(process.execPath, [".build/test/score/main.js", ...process.argv.slice(2)]);
