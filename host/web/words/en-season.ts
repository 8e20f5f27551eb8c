// Words of the season: its page, its paper and what `lees report` prints are made of the same ones.
// Figures come into a phrase with their digits, and with their units where it has none. English.

export const season = {
	title: "Season",
	waiting: "Asking the archive …",
	noServer: "The server does not answer.",
	noAnswer: "There is no answer",
	again: "Ask again",
	rig: "Rig",
	noRigs: "The archive knows of no rig yet: pull a log, or write a note.",
	takeaways: "To take away",
	pdf: (paper: string) => `PDF, ${paper}`,
	html: "One HTML file",
	titleOf: (rig: string) => `Season of ${rig}`,
	made: (time: string, zone: string) => `Made out ${time}; months and times of ${zone}.`,
	invented: "INVENTED DATA: drawn or played, of no rig and no boat that is.",
	foot: (rig: string, day: string) => `${rig}, ${day}`,
	footInvented: "INVENTED DATA",
	shortOfType:
		"Letters that this paper's type lacks stand without their marks, or as ?: the HTML has them.",
	pageOf: (page: number, pages: number) => `${page} of ${pages}`,
	nothing: "Nothing is known of this rig yet: no log was pulled and nothing was noted.",
	span: (from: string, to: string) => `From ${from} to ${to}`,
	undatedSpan: "Of a time that nobody dated",
	moved: (runs: string, hours: string, litres: string) =>
		`${runs}, ${hours} h of pumping, ${litres} by the meter`,
	byHours: (litres: string) => `${litres} by hours, estimated`,
	notCalibrated: "The meter was not calibrated in all of it: its litres are estimated.",
	runs: (count: number) => `${count} ${count === 1 ? "run" : "runs"}`,
	drained: (ml: string, drains: number) =>
		`${ml} mL of water drained in ${drains} ${drains === 1 ? "drain" : "drains"}`,
	tripped: (trips: number) => `${trips} ${trips === 1 ? "trip" : "trips"}`,
	undated: (runs: number) =>
		`${runs} ${runs === 1 ? "run is" : "runs are"} in no month: not dated, or too unsurely.`,
	quarrels: (count: number) =>
		`${count} ${count === 1 ? "clock contradicts" : "clocks contradict"} another: see lees runs.`,
	notedTwice: (count: number) =>
		`${count} ${count === 1 ? "drain was" : "drains were"} told and noted, and counts once.`,
	tanks: "Tanks",
	dueHead: "Next due",
	months: "By month and tank",
	elements: "Elements",
	trips: "Trips",
	proofs: "Proven stops",
	entries: "Uplifts, doses, samples, element changes and waste",
	ready: "Before a passage",
	definitions: "What the figures mean",
	noTanks: "No run and no note tells of any tank.",
	noMonths: "Nothing was run and nothing was noted.",
	noTrips: "None.",
	columns: {
		tank: "tank",
		month: "month",
		runs: "runs",
		hours: "pump h",
		litres: (unit: string) => `${unit} by meter`,
		byHours: (unit: string) => `${unit} by hours (est.)`,
		turnovers: "turnovers",
		water: "water mL",
		bought: (unit: string) => `bought ${unit}`,
		doses: "doses",
		samples: "samples",
		lastSample: "last sample",
		trips: "trips",
		due: "next due",
		why: "why",
		element: "element",
		inUse: "in use",
		restriction: (unit: string) => `restriction ${unit}`,
		cleanChange: (unit: string) => `clean, change ${unit}`,
		when: "when",
		trip: "trip",
		kind: "what",
		details: "details",
		by: "by",
		check: "check",
		state: "state",
		step: "step of commissioning",
		again: "due again",
	},
	noTank: "no tank",
	noSample: "none",
	inNoMonth: (days: string) => `UNDATED: ${days}`,
	after: (time: string) => `after ${time}`,
	before: (time: string) => `before ${time}`,
	undatedTime: "undated",
	plusMinusTime: (time: string, span: string) => `${time} ± ${span}`,
	due: {
		now: "now",
		underWay: "being polished",
		maybe: (span: string) => `maybe now: ${span}`,
		unbounded: "not known when",
		from: (day: string) => `from ${day} on`,
		until: (day: string) => `${day} at the latest`,
		span: (from: string, to: string) => `${from} to ${to}`,
		what: { polish: "polish", sample: "take a sample" },
	},
	reasons: {
		maybe: (why: string) => `maybe: ${why}`,
		never: "never polished by what is here",
		standing: (when: string, days: string) =>
			`last polished or swept ${when}; due after ${days} days`,
		uplift: (when: string, turnovers: string, days: string) =>
			`fuel bought ${when}, ${turnovers} since; due after ${days} days`,
		turnovers: (sure: string) => `${sure} turnovers`,
		turnoversMaybe: (sure: string, maybe: string) => `${sure} turnovers (maybe ${maybe} more)`,
		water: (when: string, days: string) =>
			`water stopped a run ${when}, no clear sample since; due after ${days} days`,
		sample: (when: string, looked: string, turnovers: string) =>
			`the sample of ${when} showed: ${looked}; ${turnovers} since`,
		dose: (when: string, days: string) =>
			`dosed ${when} and not run since: dead growth comes loose; due after ${days} days`,
	},
	elementName: (micron: string) => `${micron} µm`,
	elementUnknown: "size not noted",
	sinceBegin: "the log's begin",
	untilNow: "now",
	picture: {
		title: "Restriction of the elements over the litres since each was put in",
		litres: (unit: string) => `${unit} since the element was put in`,
		restriction: (unit: string) => `${unit} at free flow and 15 °C`,
		change: "change",
		clean: "clean",
		inUse: "in use",
		forecast: "80 % until change",
		point: (litres: string, restriction: string) => `${litres}: ${restriction}`,
	},
	grams: (median: string, low: string, high: string) =>
		`The element in use still takes ${median} g of dirt (80 %: ${low} to ${high} g), estimated.`,
	forecast: (tank: string, median: string, span: string) =>
		`With tank ${tank} as it is that is ${median} (80 %: ${span}), estimated.`,
	forecastNever: (tank: string) =>
		`With tank ${tank} as it is that is never: all of its dirt is less, as estimated.`,
	never: "never",
	to: (low: string, high: string) => `${low} to ${high}`,
	noRestriction: "Nothing is told of the element in use yet: no run has settled since its change.",
	kinds: {
		uplift: "uplift",
		dose: "dose",
		sample: "sample",
		"element-change": "element change",
		waste: "waste",
	},
	sampleFrom: {
		"after-24h": "of the tank after 24 h of standing",
		bowl: "of the bowl",
		"tank-bottom": "of the tank's bottom",
	},
	clearAndBright: "clear and bright (ASTM D4176)",
	putInto: (container: string) => `into ${container}`,
	handedIn: (container: string, place: string) => `from ${container}, handed in at ${place}`,
	receipt: (name: string) => `receipt ${name}`,
	noReceipt: "no receipt noted",
	looks: { clear: "clear", hazy: "hazy", water: "water", dirt: "dirt" },
	passed: "passed",
	afterChange: "after a change",
	afterDays: (days: string) => `after ${days} days`,
	states: { held: "held", not: "NOT held", unknown: "unknown" },
	checks: {
		turnovers: "turnovers",
		standing: "standing",
		sample: "sample",
		"stand-time": "stand time",
		element: "element",
		trips: "open trips",
		spares: "spare elements",
		waste: "waste",
	},
	isReady: "All of it is held.",
	notReady: (open: number, all: number) => `NOT READY: ${open} of ${all} not held or unknown.`,
	meanings: {
		plusMinus: "± is what a figure may be off, k = 2: about one in twenty is off by more.",
		litres:
			"Litres by meter: pulses over the K-factor; air is not counted. Litres by hours: pump " +
			"hours times what the pump moves, an estimate that nobody corrected for vacuum, voltage " +
			"and cold.",
		turnovers:
			"Turnovers: litres of polish orders over what the tank held as ordered. How full it was " +
			"is taken as right. Transfers and sweeps count none.",
		months:
			"A run counts in the month in which it began, with the tank that it drew from. What is " +
			"not dated, or may lie in either of two months, stands as UNDATED and in no month. Less " +
			"than 0.1 L that the meter counts as a run has ended counts with it.",
		water:
			"Water: as it was told or noted when the bowl was drained, with the tank of the run " +
			"before; what it may be off was not noted. The same millilitres told and noted within " +
			"12 h count once, unless the note names another tank.",
		bought: "Bought fuel, doses, samples and waste: as noted, with no uncertainty known.",
		restriction:
			"Restriction: vacuum that the element takes, reckoned to free flow and 15 °C. Forecasts " +
			"hold the truth in 80 of 100 cases.",
		due: (standing: string, uplift: string, turnovers: string, water: string, dose: string) =>
			`Next due: ${standing} days after it was last polished or swept; ${uplift} after fuel was ` +
			`bought that has not had ${turnovers} turnovers; ${water} after water stopped a run, until ` +
			`a sample is clear; at once after a sample that was not; ${dose} after a dose. Common ` +
			"practice, no source.",
		local: "Local codes and licensed practice come first.",
	},
};
