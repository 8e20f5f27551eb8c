// The people whom a scenario may call for: who proves the rig, who sees to it that an order
// finishes, and who looks on. A session is given them, so that one without (the bench in a browser,
// where a person sits) does not carry them along.

import { Caretaker } from "./caretaker.ts";
import { Commissioner, type Person } from "./commissioner.ts";
import { Watch } from "./invariants.ts";
import type { People } from "./session.ts";

/** @param person how whoever proves the rig differs from a careful one, for tests */
export const people = (person: Person = {}): People => ({
	caretaker: (scenario, model, session) => new Caretaker(scenario, model, session),
	watch: () => new Watch(),
	prover: (model, session, seed) => new Commissioner(model, session, seed, person),
});
