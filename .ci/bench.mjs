// `npm run bench`: installs what is missing, builds, and measures the performance goals. What it
// prints and how it ends stands in test/bench/main.ts.

import { build, installMissing, run } from "./prepare.mjs";

installMissing();
build();
run(process.execPath, [".build/test/bench/main.js", ...process.argv.slice(2)]);
