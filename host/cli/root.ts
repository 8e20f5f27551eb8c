// Where the project's own files stand: two folders above the built command. Scenarios, rigs and the
// pin map are read from there.

import { fileURLToPath } from "node:url";

/** The project's folder; scenarios, rigs and the pin map are read from it. */
export const projectRoot = fileURLToPath(new URL("../../../", import.meta.url));
