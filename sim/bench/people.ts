// The people whom a scenario's crew may call for: who proves the rig, and who sees to it that an
// order finishes. A session is given them, so that one without them (the bench in a browser, where
// a person sits) does not carry them along.

import { Caretaker } from "./caretaker.ts";
import { Commissioner, type Person } from "./commissioner.ts";
import type { People } from "./session.ts";

/** @param person how whoever proves the rig differs from a careful one, for tests */
export const people = (person: Person = {}): People => ({
	caretaker: (scenario, model, session) => new Caretaker(scenario, model, session),
	prover: (model, session, seed) => new Commissioner(model, session, seed, person),
});
