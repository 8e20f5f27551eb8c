// Plays the library from its last scenario to its first in a process of its own, and sends what it
// tells to whoever started it. Started by determinism.test.ts.

import { library, playHere } from "./library-texts.ts";

process.send?.(playHere([...library].reverse()), () => process.exit(0));
