// Words of the logbook page. English. The cautions are those of host/archive/note.ts, which the
// command line says: a test holds the two together.

export const logbook = {
	title: "Logbook",
	intro:
		"What the rig does not see, kept beside its log. A note is written once; one that is wrong is " +
		"struck, stays in the list and counts no more.",
	loading: "Asking for the logbook …",
	noServer:
		"No connection to the server. What you write is kept in this browser and sent when it is back.",
	serverSaid: "The server says:",
	rig: "Rig",
	rigHint: "Nothing is known of any rig yet. Its name as the rig file has it.",
	otherRig: "Another rig",
	another: "Another one",

	write: "Write a note",
	kind: "What it is about",
	kinds: {
		uplift: "Fuel bought",
		dose: "Dose of an additive",
		sample: "Sample looked at",
		drained: "Water drained",
		waste: "Waste put away or handed in",
		"element-change": "Element changed",
		"spare-elements": "Spare elements counted",
		spots: "Pick-up spots done",
		"spot-map": "Map of pick-up spots",
		engine: "Engine stands",
	},
	help: {
		uplift: "The batch is where the water came from.",
		dose:
			"What the label says goes in as it stands there: it is the authority, and nothing here " +
			"works out a dose.",
		sample:
			"Clear and bright, by the visual procedure of ASTM D4176: about a litre in a clean jar of " +
			"clear glass, at the fuel's own temperature, swirled and held to the light: no haze, and " +
			"neither water nor dirt under the whirl.",
		drained:
			"Only what was not told to the controller at the box. It counts as waste aboard until it " +
			"is handed in.",
		waste: "Put into a container and still aboard, or handed in at a licensed facility.",
		"element-change": "Begins new totals. Those of the old element stay and are listed below.",
		"spare-elements": "How many are aboard now. Each change takes one away.",
		spots: "Where the tube reached the floor. A spot counts as done until fuel is bought again.",
		"spot-map": "Every place in this tank at which the tube reaches the floor, by a name of yours.",
		engine: "Since when no engine has drawn from these tanks.",
	},
	cautions: {
		uplift:
			"Never petrol: unknown fuel is treated as petrol. Let fuel from cans stand a day and look " +
			"at it first.",
		dose: "Dose by the maker's label. Dead growth plugs elements for days: look more often.",
		sample:
			"Gloves and eye protection on, no flame. Only a sample or a lab's count may say clean, and " +
			"only of what was sampled.",
		"element-change":
			"Isolator off and locked, gloves and eye protection on, no flame, absorbent at hand; " +
			"refill the bowl; prove the water probe wet.",
		drained: "Water and sludge go into a closed container: never overboard, never down a drain.",
		"spare-elements":
			"A spare counts when its seals are with it and its rating is that of the rig.",
		waste: "Waste goes to a licensed facility: never overboard, never down a drain.",
		"spot-map": "Isolator off before the tube is moved, absorbent under it, gloves on, no flame.",
		spots:
			"Isolator off before the tube is moved. A moved tube ends the arming: after the set-up " +
			"check, arm it at the rig again.",
		engine:
			"No engine draws from a tank that is polished or swept, nor until its fuel has stood.",
	},
	fields: {
		tank: "Tank",
		litres: "How much",
		place: "Where",
		batch: "Batch, as on the receipt",
		product: "Product, as its label names it",
		label: "Dose, as the label states it",
		doseMl: "What went in",
		from: "Sample of",
		looked: "How it looked",
		clearAndBright: "Clear and bright by the procedure",
		iso4406: "A lab's count by ISO 4406",
		micron: "Rating of the new one",
		afterRun: "Changed after the run",
		drainedMl: "How much",
		container: "Container",
		count: "How many",
		wasteMl: "How much",
		facility: "Handed in at",
		receipt: "Its receipt",
		spots: "Spots",
		done: "Spots that were done",
		run: "In the run",
		standsSinceUtcMs: "It has not run since",
		atUtcMs: "When",
		by: "Initials",
		text: "Anything more",
		photo: "Photo",
	},
	hints: {
		tank: "Small letters, digits and dashes, as in the rig file.",
		iso4406: "Three numbers such as 18/16/13.",
		facility: "Left out: it is still aboard.",
		spots: "Names between commas, such as fore-low, middle, aft.",
		moreSpots: "Others, between commas.",
		afterRun: "Left out: after the last that has come from the rig.",
		run: "Left out: not said.",
		atUtcMs: "Left out: now.",
		label: "Word for word, with its units.",
		photo: "Made smaller here, without place and time. JPEG, PNG or WebP.",
	},
	froms: {
		"tank-bottom": "the tank's bottom",
		"after-24h": "the tank, after 24 h of standing",
		bowl: "the bowl",
	},
	looks: {
		clear: "clear",
		hazy: "hazy",
		water: "water in it",
		dirt: "dirt in it",
	},
	judged: {
		yes: "yes: clear and bright",
		no: "no",
		none: "not judged by it",
	},
	runOf: (run: string, work: string, tank: string, when: string) =>
		`Run ${run}: ${work} ${tank}, ${when}`,
	undated: "undated",
	none: "Not said",

	photoTake: "Choose a photo",
	photoNone: "No photo",
	photoReady: (size: string) => `Photo of ${size} is ready.`,
	photoRemove: "Leave the photo out",
	photoUnread: "This browser cannot read that photo. Save it as JPEG and choose it again.",
	photoOf: (what: string) => `Photo of: ${what}`,
	photoShow: "Show the photo",
	kilobytes: (size: string) => `${size} kB`,

	save: "Write it into the logbook",
	saving: "Writing …",
	saved: "It is in the logbook.",
	known: "It was in the logbook already.",
	kept: "It is kept in this browser and not in the logbook yet.",
	wrong: "Something is missing or wrong: look at the marked fields.",
	badName: "At most 40 small letters, digits and dashes, a letter first.",
	badCount: "Three numbers such as 18/16/13.",
	badTime: "A date and a time.",
	future: "A time that has been.",
	long: (most: string) => `At most ${most} characters.`,
	contradicts: "Clear and bright is only what looked clear, and what looked clear is not a no.",
	notAllowed: (allowed: string) => `Allowed: ${allowed}`,
	slipTank: (name: string, known: string) =>
		`No tank ${name} was known here until now, but ${known}. If that is a slip, strike the note.`,
	slipRig: (name: string, known: string) =>
		`No rig ${name} was known here until now, but ${known}. If that is a slip, strike the note.`,

	waiting: {
		heading: "Not in the logbook yet",
		why: "These notes are kept in this browser. They are sent when the server answers.",
		paired: "The page must be paired before it may write: a code is shown at the rig.",
		pair: "Pair this page",
		now: "Send them now",
		refused: "The server refused it:",
		photoRefused: "The note is in the logbook; its photo was refused:",
		back: "Back into the form",
		drop: "Throw it away",
		dropOf: (what: string) => `Throw away: ${what}`,
		backOf: (what: string) => `Back into the form: ${what}`,
		unkept:
			"This browser keeps nothing for this page: leave it open until all of this is sent.",
	},

	list: {
		heading: "Notes",
		none: "No notes yet.",
		all: (count: string) => `Show all ${count}`,
		fewer: "Show the latest only",
		struck: (when: string) => `STRUCK ${when}: it counts no more`,
		strike: "Strike",
		strikeOf: (what: string) => `Strike: ${what}`,
		ask: "Strike this note?",
		askWhy: "It stays in the list and counts no more. That cannot be undone.",
		by: (who: string) => `by ${who}`,
		into: (what: string, place: string) => `${what} into ${place}`,
		at: (what: string, place: string) => `${what}, ${place}`,
		batch: (name: string) => `batch ${name}`,
		label: (name: string) => `label: ${name}`,
		ofProduct: (dose: string, product: string) => `${dose} of ${product}`,
		lab: (code: string) => `lab ${code}`,
		bright: "clear and bright",
		notBright: "not clear and bright",
		fromTank: (what: string, tank: string) => `${what} from ${tank}`,
		aboard: "aboard",
		handedIn: (place: string) => `handed in: ${place}`,
		receipt: (name: string) => `receipt ${name}`,
		inRun: (run: string) => `in run ${run}`,
		pieces: (count: string) => `${count} aboard`,
		since: (when: string) => `since ${when}`,
		lost: "Not struck:",
	},

	ledger: {
		heading: "Waste",
		sum: (drained: string, handed: string, aboard: string) =>
			`${drained} drained, ${handed} handed in, ${aboard} aboard.`,
		loose: (amount: string) => `${amount} of it in no container that was noted.`,
		containers: "Containers",
		container: "Container",
		filled: "In",
		out: "Out",
		aboard: "Aboard",
		handed: "Handed in",
		when: "When",
		amount: "Amount",
		where: "Where",
		receipt: "Receipt",
		noReceipt: "none noted",
	},

	map: {
		heading: "Pick-up spots",
		none: "No map yet. Note one, and each sweep can tell what it has done.",
		tank: (name: string) => `Tank ${name}`,
		spot: "Spot",
		state: "Since the last uplift",
		last: "Last done",
		run: "In run",
		done: "✓ done",
		toDo: "✗ TO BE DONE",
		never: "never",
	},

	elements: {
		heading: "Elements",
		rating: "Rating",
		from: "From",
		until: "Until",
		runs: "Runs",
		pumped: "Pumped",
		hours: "Pump time",
		last: "Last restriction",
		inUse: "in use",
		before: "before the log",
		notNoted: "not noted",
		notTold: "not told",
		plusMinus: (value: string, off: string) => `${value} ± ${off}`,
		basis: "± is k = 2. Restriction at free flow and 15 °C.",
	},
};
