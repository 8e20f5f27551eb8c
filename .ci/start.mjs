// `npm start`: installs what is missing, builds, plays the main job on the simulated rig, and
// offers the bench page.

import { build, installMissing } from "./prepare.mjs";

installMissing();
build();
await import("./first-look.mjs");
