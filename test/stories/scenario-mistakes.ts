// The table of mistakes that a scenario file can have: each is made by one change of a good file.
// The place of the complaint is written as the text that stands there.

/** A scenario in which all is well. */
export const GOOD = `# Of no account.
title: A story
invented: true
rig: example
seed: 4

start:
  commissioned: true
  armed: true
  tube: port
  return: port
  tanks:
    port: { fuelLitres: 180 }
    day: { fuelLitres: 20 }

orders:
  - { atSeconds: 5, polish: { tank: port, litres: 2 } }

plans:
  - { atSeconds: 9, plan: { at: 2026-11-29T10:00, work: { sweep: { tank: port } } } }

faults:
  - { fault: water-slug, atSeconds: 42, size: 200 }
  - { fault: hose-off, uponTrip: leak, size: 20, forSeconds: 26 }

weather:
  - { atSeconds: 60, airC: 12 }

crew:
  - { atSeconds: 70, does: pour, tank: day, litres: 6 }
  - { uponState: resting, everyTime: true, does: confirm }

hoursMax: 0.5
expect:
  - outcome: finished
  - trips: []
  - { trip: leak, withinSeconds: 3, after: hose-off }
  - { truth: litresSpilled, atMost: 0.25 }

nearly:
  - { trip: water-in-bowl, ifInstead: { faults.0.size: 240 } }
`;

interface Mistake {
	readonly what: string;
	readonly was: string;
	readonly is: string;
	/** What stands where the complaint points. */
	readonly at: string;
	/** Key, what was found, what is allowed: pieces in their order. */
	readonly says: readonly string[];
}

const NUMBER = "a number, without its unit";
const ONE_TRIGGER = "exactly one of atSeconds, uponTrip, uponState, uponProof";

export const mistakes: readonly Mistake[] = [
	{
		what: "no seed",
		was: "seed: 4\n",
		is: "",
		at: "title:",
		says: ["seed", "nothing", NUMBER],
	},
	{
		what: "a seed that is no number",
		was: "seed: 4",
		is: "seed: many",
		at: "seed:",
		says: ["seed", '"many"', NUMBER],
	},
	{
		what: "a seed with a fraction",
		was: "seed: 4",
		is: "seed: 1.5",
		at: "seed:",
		says: ["seed", "1.5", "a whole number"],
	},
	{
		what: "a seed that is too large",
		was: "seed: 4",
		is: "seed: 4294967296",
		at: "seed:",
		says: ["seed", "4294967296", "at most 2147483647"],
	},
	{
		what: "a key twice",
		was: "seed: 4",
		is: "seed: 4\nseed: 5",
		at: "seed: 5",
		says: ["broken YAML", "each key once"],
	},
	{
		what: "a tab",
		was: "  armed: true",
		is: "\tarmed: true",
		at: "\tarmed",
		says: ["broken YAML", "no tabs"],
	},
	{
		what: "a title with a colon and without quotes",
		was: "title: A story",
		is: "title: A story: of water",
		at: "A story",
		says: ["broken YAML", "quotes round a text that has a colon"],
	},
	{
		what: "an unknown key",
		was: "hoursMax",
		is: "colour: red\nhoursMax",
		at: "colour",
		says: ["colour", "an unknown key", "hoursMax"],
	},
	{
		what: "an unknown key in a list",
		was: "forSeconds: 26",
		is: "forSecs: 26",
		at: "forSecs",
		says: ["faults[1].forSecs", "an unknown key", "forSeconds (did you mean that?)"],
	},
	{
		what: "an unknown key of a plan",
		was: "work: {",
		is: "window: 3, work: {",
		at: "window",
		says: ["plans[0].plan.window", "windowHours (did you mean that?)"],
	},
	{
		what: "a text for a number",
		was: "atSeconds: 5",
		is: "atSeconds: five",
		at: "atSeconds: five",
		says: ["orders[0].atSeconds", '"five"', NUMBER],
	},
	{
		what: "yes for true",
		was: "armed: true",
		is: "armed: yes",
		at: "armed",
		says: ["start.armed", '"yes"', "true or false"],
	},
	{
		what: "a text for a list",
		was: "expect:",
		is: "expect: all\nnone:",
		at: "expect:",
		says: ["expect", '"all"', "a list"],
	},
	{
		what: "a number out of range",
		was: "airC: 12",
		is: "airC: 120",
		at: "airC",
		says: ["weather[0].airC", "120", "at most 50"],
	},
	{
		what: "no trigger",
		was: "atSeconds: 5, polish",
		is: "polish",
		at: "{ polish",
		says: ["orders[0]", ONE_TRIGGER],
	},
	{
		what: "two triggers",
		was: "atSeconds: 70",
		is: "atSeconds: 70, uponTrip: leak",
		at: "{ atSeconds: 70",
		says: ["crew[0]", ONE_TRIGGER],
	},
	{
		what: "a wait upon nothing",
		was: "atSeconds: 42",
		is: "atSeconds: 42, afterSeconds: 3",
		at: "afterSeconds",
		says: ["faults[0].afterSeconds", "3", "goes with uponTrip, uponState or uponProof"],
	},
	{
		what: "every time of a time",
		was: "atSeconds: 60",
		is: "atSeconds: 60, everyTime: true",
		at: "everyTime: true, airC",
		says: ["weather[0].everyTime", "goes with uponTrip, uponState or uponProof"],
	},
	{
		what: "a time after the end",
		was: "atSeconds: 42",
		is: "atSeconds: 4200",
		at: "atSeconds: 4200",
		says: ["faults[0].atSeconds", "4200", "before the end: hoursMax is 0.5 h"],
	},
	{
		what: "an order with two goals",
		was: "litres: 2 }",
		is: "litres: 2, hours: 1 }",
		at: "polish: {",
		says: ["orders[0].polish", "one of turnovers, litres, hours or targetDilution"],
	},
	{
		what: "an order without work",
		was: ", polish: { tank: port, litres: 2 }",
		is: "",
		at: "{ atSeconds: 5 }",
		says: ["orders[0]", "exactly one of polish, transfer, sweep"],
	},
	{
		what: "an order's tank that there is not",
		was: "tank: port, litres: 2",
		is: "tank: attic, litres: 2",
		at: "tank: attic",
		says: ["orders[0].polish.tank", '"attic"', "one of port, starboard, day"],
	},
	{
		what: "a plan's tank that there is not",
		was: "sweep: { tank: port }",
		is: "transfer: { from: port, to: attic }",
		at: "to: attic",
		says: ["plans[0].plan.work.transfer.to", '"attic"', "one of port, starboard, day"],
	},
	{
		what: "a plan's work that there is not",
		was: "sweep: { tank",
		is: "scrub: { tank",
		at: "work:",
		says: ["plans[0].plan.work", "{polish} {transfer} {sweep}"],
	},
	{
		what: "a day that no calendar has",
		was: "2026-11-29",
		is: "2026-02-30",
		at: "at: 2026",
		says: ["plans[0].plan.at", "a time that the calendar has"],
	},
	{
		what: "a fault that there is not",
		was: "water-slug,",
		is: "water-slugs,",
		at: "fault: water-slugs",
		says: ["faults[0].fault", '"water-slugs"', "water-slug (did you mean that?)"],
	},
	{
		what: "a trip that there is not",
		was: "uponTrip: leak",
		is: "uponTrip: leek",
		at: "uponTrip",
		says: ["faults[1].uponTrip", '"leek"', "relay-stuck"],
	},
	{
		what: "a size out of the fault's range",
		was: "size: 200",
		is: "size: 20000",
		at: "size: 20000",
		says: ["faults[0].size", "20000", "20 to 3000 mL"],
	},
	{
		what: "growth of what comes at once",
		was: "size: 200",
		is: "size: 200, overSeconds: 3",
		at: "overSeconds",
		says: ["faults[0].overSeconds", "water-slug comes at once"],
	},
	{
		what: "weather that changes nothing",
		was: ", airC: 12",
		is: "",
		at: "{ atSeconds: 60 }",
		says: ["weather[0]", "one or more of sea, heelDeg, airC"],
	},
	{
		what: "an act that there is not",
		was: "does: confirm",
		is: "does: sing",
		at: "does: sing",
		says: ["crew[1].does", '"sing"', "confirm"],
	},
	{
		what: "an act without what it needs",
		was: ", litres: 6",
		is: "",
		at: "{ atSeconds: 70",
		says: ["crew[0].litres", "nothing", "pour needs it"],
	},
	{
		what: "an act with what it does not take",
		was: "does: confirm",
		is: "does: confirm, litres: 3",
		at: "litres: 3",
		says: ["crew[1].litres", "confirm takes none"],
	},
	{
		what: "an act at a tank that is not there",
		was: "tank: day",
		is: "tank: starboard",
		at: "tank: starboard",
		says: ["crew[0].tank", '"starboard"', "a tank that start.tanks fills"],
	},
	{
		what: "an ending that there is not",
		was: "outcome: finished",
		is: "outcome: finnished",
		at: "outcome",
		says: ["expect[0].outcome", '"finnished"', "finished, stopped"],
	},
	{
		what: "an expectation that there is not",
		was: "withinSeconds: 3",
		is: "within: 3",
		at: "{ trip: leak, within",
		says: ["expect[2]", "{trip, withinSeconds, after}"],
	},
	{
		what: "an expectation that lacks its time",
		was: "withinSeconds: 3, ",
		is: "",
		at: "{ trip: leak, after",
		says: ["expect[2].withinSeconds", "nothing", NUMBER],
	},
	{
		what: "an expectation after a fault that does not strike",
		was: "after: hose-off",
		is: "after: probe-fouled",
		at: "after:",
		says: ["expect[2].after", '"probe-fouled"', "a fault of this file's faults"],
	},
	{
		what: "bounds the wrong way round",
		was: "atMost: 0.25",
		is: "atLeast: 1, atMost: 0.25",
		at: "{ truth",
		says: ["expect[3]", "atLeast not above atMost"],
	},
	{
		what: "no bound at all",
		was: ", atMost: 0.25",
		is: "",
		at: "{ truth",
		says: ["expect[3]", "atLeast, atMost or both"],
	},
	{
		what: "a near miss at a place that the file does not have",
		was: "faults.0.size: 240",
		is: "faults.7.size: 240",
		at: "faults.7.size",
		says: ["nearly[0].ifInstead.faults.7.size", "240", "a place that this file has"],
	},
	{
		what: "a near miss whose value does not fit its place",
		was: "faults.0.size: 240",
		is: "faults.0.size: more",
		at: "faults.0.size",
		says: ["nearly[0].ifInstead.faults.0.size", '"more"', NUMBER],
	},
	{
		what: "a near miss whose value does not fit the rig",
		was: "faults.0.size: 240",
		is: "faults.0.size: 240, orders.0.polish.tank: attic",
		at: "orders.0.polish.tank",
		says: ["nearly[0].ifInstead.orders.0.polish.tank", '"attic"', "one of port, starboard, day"],
	},
	{
		what: "a near miss by nothing",
		was: "faults.0.size: 240",
		is: "",
		at: "ifInstead",
		says: ["nearly[0].ifInstead", "{}", "one place or more"],
	},
	{
		what: "a near miss of what is expected to come",
		was: "trip: water-in-bowl",
		is: "trip: leak",
		at: "trip: leak, ifInstead",
		says: ["nearly[0].trip", '"leak"', "a trip that expect does not ask for"],
	},
	{
		what: "a tube in a tank that is not filled",
		was: "tube: port",
		is: "tube: starboard",
		at: "tube:",
		says: ["start.tube", '"starboard"', "a tank that start.tanks fills"],
	},
	{
		what: "more fuel than the tank holds",
		was: "fuelLitres: 180",
		is: "fuelLitres: 400",
		at: "port: { fuelLitres",
		says: ["start.tanks.port", "no more than the tank's 310 L"],
	},
	{
		what: "a claim to be measured",
		was: "invented: true",
		is: "invented: false",
		at: "invented",
		says: ["invented", "false", "true"],
	},
];
