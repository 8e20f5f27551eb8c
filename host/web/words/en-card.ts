// Words of the card that stays with the rig while it is left to itself. English. The order of the
// check is the order in which it is done.

export const card = {
	title: "Leave-it card",
	intro:
		"One sheet that stays at the rig. Fill it in by hand, sign it before you step off, and take " +
		"it down when you are back.",
	caution:
		"A pump moves diesel here while nobody looks. Diesel burns; never petrol. Some insurers, " +
		"harbours and flags do not allow it: local rules come first.",
	filled: "Rig and order are as the controller has them now.",
	blank: "The controller has told no rig: its lines are left blank.",
	invented: "Invented data: this rig does not exist.",
	print: "Print",
	paper: "Fits a sheet of A4 or Letter, printed at 100 %.",

	facts: {
		heading: "Boat, rig and plan",
		boat: "Boat and berth",
		date: "Date, from and until",
		rig: "Rig",
		order: "Plan",
		pump: "Pump",
		pumpRuns: (run: string, rest: string) => `runs ${run} at most, then rests ${rest}`,
		element: "Element",
		tank: "Tank",
		tanks: "Tanks",
		dip: "Dip now",
		until: (goal: string) => `until ${goal}`,
		workAt: (work: string, tank: string) => `${work} ${tank}`,
		workInto: (work: string, tank: string, toTank: string) => `${work} ${tank} into ${toTank}`,
		tankOf: (name: string, volume: string) => `${name}, ${volume}`,
	},

	check: {
		heading: "Checked before stepping off, in this order",
		steps: [
			"Dip and water-finding paste noted, sample looked at. Fuel known: no petrol in it.",
			"Engine off and kept off this tank. Crossover, balance and engine valves set and noted.",
			"Return locked in its filler, in the right tank, its end below the surface, bonded.",
			"Tube seated at its spot and marked. Hoses without kinks, joints dry under vacuum.",
			"Suction and return valves open. Bowl full of fuel, its drain shut.",
			"Tray under the rig dry, its sensor in place, absorbent at hand.",
			"Fillers closed round the tubes, and vented.",
			"Absorbent round the bilge pump's strainer. Its automatic switch off only while somebody " +
				"aboard watches the bilge; else on: a boat without a bilge pump can sink.",
			"Battery is not the start battery; charger on or charge enough. Fuse fitted, isolator on.",
			"Stop button pressed: the pump stays off. Released. Horn heard.",
			"Who stays within reach knows the stop button, the isolator and this card.",
			"Armed at the rig, last of all. Moving tube, return or isolator ends the arming.",
		],
	},

	alarm: {
		heading: "When the horn sounds or fuel is seen",
		steps: [
			"Press the stop button at the rig. Isolator off. Nobody lights anything.",
			"Fuel in the boat: bilge pump off while you watch the water, absorbent on the fuel, call.",
			"Start nothing again before its cause is seen to. The trip's line says what it asks.",
		],
	},

	trips: {
		heading: "What each trip asks",
		atBox: "Acknowledged at the box, once its cause is gone.",
	},

	coverage: {
		heading: "What no sensor of this rig sees",
		none: "Every hazard of the table is covered by a sensor.",
		unknown: "Not known without the rig file. Write it down by hand:",
		always: "Nowhere seen: a film on the probe, an emulsion, ice, and diesel outside the tray.",
		mayNot: "With these gaps the rig refuses to be left alone: a person stays.",
	},

	call: {
		heading: "Whom to call",
		who: ["Who set it up", "Who stays within reach", "Harbour", "Fire and rescue"],
	},

	sign: {
		heading: "Signed",
		who: ["Set up and checked by (initials)", "Shown the stop button (initials)", "Time"],
	},
};
