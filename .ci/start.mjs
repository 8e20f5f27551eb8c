// `npm start`: installs what is missing, builds, and plays the main job on the simulated rig.

import { build, installMissing, run } from "./prepare.mjs";

installMissing();
build();
run(process.execPath, [".build/host/cli/main.js", "bench", "water-in-the-bowl"]);
