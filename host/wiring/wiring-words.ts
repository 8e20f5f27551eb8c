// The words of the wiring's page: cautions, what to measure and in which order, what no rule and no
// sensor sees. Figures that the netlist or the pin map has are worked in by wiring-page.ts.

/** One paragraph from lines of source. */
const prose = (...lines: readonly string[]): string => lines.join(" ");

export const INTRODUCTION = prose(
	"The whole box, wire by wire, for boats of 12 V and no other. Lengths, currents and fuses",
	"are those of an invented example rig: `lees size` works out yours. Where the law or the",
	"insurer asks for licensed practice, a licensed person does this or checks it.",
);

export const CAUTIONS = [
	prose(
		"Isolator off and locked, both fuses at the battery pulled, before a hand goes to a wire.",
		"A house battery melts a ring or a spanner.",
	),
	prose("No open fuel, no vapour of petrol or LPG, while a fuse is put in or a plug is made."),
	prose(
		"The fuse stands at the battery, and no conductor behind it is thinner than it asks (ISO",
		"13297, ABYC E-11).",
	),
	prose(
		"Stop button, return switch, pressure switch and fuse work without the computer. Button and",
		"return switch are proven twice: by ohms with the computer unplugged, and in an attended run",
		"with the test plug in, where each drops K2; the pressure switch by ohms and a hand pump.",
	),
	prose("No safety integrity level and no performance level is claimed for any of this."),
] as const;

export const SHEETS = prose(
	"A4, landscape; print them at 100 %. The number in the title block changes with every",
	"change of the wiring: a sheet with another number is out of date.",
);

export const COLOURS = prose(
	"By function. Red, black, green, brown, orange, pink and tan after ISO 13297 and ABYC E-11,",
	"from memory; the rest is common practice, no source. In an older boat black may not be",
	"minus: measure, do not trust.",
);

export const PLUGS = prose(
	"J1 and J2 are of one kind, so that a test plug fits either; make two, red, on a tag. It holds",
	"one resistor across its contacts: the loop then reads closed whatever the switch does, and",
	"**the computer is blind to that switch while it is in**. K2's loop has no plug that it fits.",
	"J1 and J2 carry 5 V behind 10 kΩ; J3 is made and broken with the isolator off and locked.",
);

export const MEASURE = prose(
	"With the meter's minus lead on X4 unless something else is said. Whatever differs is",
	"mended before the next step. The 5 V for steps 5 and 6 come from a plain USB charger into",
	"the board, not from the computer: a fault then costs a charger.",
);

export const MEASURE_STEPS = [
	prose(
		"**Nothing connected, fuses out, computer unplugged.** Ohms from each wire's one end to",
		"its other: below 1 Ω. From X1, X2, X3 to each other: no short, above 100 Ω (diodes and",
		"coils show less one way round than the other). From X1 to X4: below 1 Ω; take W1 off and",
		"it is above 10 kΩ.",
	),
	prose(
		"**Loop of K2.** Ohms from X2 to K2's coil-plus: below 2 Ω with the stop button out and",
		"the return fitting locked. Press the button: open. Release it, unlock the fitting: open.",
		"Lock it, bring B6 to its pressure with a hand pump before it is built in: open. A meter that",
		"shows many ohms and not open measures round by coils and diodes: take wire 11 off U3.",
	),
	prose("**Contacts.** Ohms from R1 out to M1 plus: open."),
	prose(
		"**12 V.** Put F1 and F3 in, isolator on, pump unplugged at the frame. X2 against X1: the",
		"battery's volts. M1's plus against X1: 0 V. K1 and K2 are silent, lamps and horn are",
		"dark and silent.",
	),
	prose(
		"**5 V.** Isolator off and locked, F1 out. Charger into the board. X3 against X4: 4.75 to",
		"5.25 V. Note it: all the volts below are for 5.00 V and go with it.",
	),
	prose(
		"**Inputs.** Each one below, at the wire's end of its guard, in each state that you can",
		"make by hand. Unplug a connector for `wire cut`; bridge its two contacts for `wires",
		"shorted`. R12: 0 V, and 5 V while S3 is pressed. R14: 5 V, and 0 V at each pulse as the",
		"meter is turned by a breath of clean air.",
	),
	prose(
		"**Boot.** F1 in, isolator on, pump still unplugged at the frame: plug the charger into",
		"the board and out again, three times. K1 and K2 do not click, lamps and horn stay off.",
		"U3's terminal `beat` against X4: below 0.1 V.",
	),
	prose("**Then** the computer, with the pump still unplugged, and the commissioning steps."),
] as const;

export const VOLTS = prose(
	"Range over 1 % resistors, at 5.00 V on X3. The water probe is driven by the controller,",
	"both ways in turn: before the computer is connected it reads 0 V, and the rows for it are",
	"for later.",
);

export const UNSEEN = [
	prose(
		"F4 takes some 20 mV with all sensors on it. The converter compares with X3 and does not",
		"mind; the board compares with its own 5 V and reads the vacuum's zero about 0.6 kPa off.",
		"The zero that commissioning takes makes up for it.",
	),
	prose(
		"A short between wires 8 and 16 goes round the poles of stop button, return switch and",
		"pressure switch; one between 9 and 10 goes round the return switch, one between 10 and 16",
		"round the pressure switch. The second poles still tell the controller, which stops the pump",
		"by K1, but the hardware way is gone until the next proof test. So these wires run in a cable",
		"of their own, and each switch is worked in its proof test.",
	),
	prose(
		"Nothing latches the pressure switch: once the pressure is gone it closes K2 again. The",
		"controller opens K1 within 2 s and trips; until then the pump may start once or twice more.",
	),
	prose(
		"K2 does not come back hot at a low voltage: with a coil of 50 K over a room of 60 °C it may",
		"ask for 11.4 V. That is the safe side; a start then ends in `no-current`.",
	),
	prose(
		"A broken joint of X1 with the battery: pump, box and computer lose 0 V together, and all",
		"stops. If the computer has another way to the boat's minus (a screen, an aerial, a",
		"charger, a laptop that is fed), the pump's current would take it, through the USB cable. So",
		"it has none, or there is a USB isolator.",
	),
	prose(
		"A broken wire W1: the USB cable is then the only joint of the two 0 V. Drivers and",
		"sensors shift by some millivolts, and nobody notices. Step 1 finds it.",
	),
	prose(
		"A flyback diode that is broken open: contacts and drivers wear. Look for it at the",
		"yearly test.",
	),
	prose(
		"A loose joint of the pump's wires gets warm. Feel for it after the first hour, isolator",
		"off.",
	),
	prose(
		"A second sensor fuse would be needed to keep one shorted sensor from taking the others",
		"along: they all go unknown, and the pump stops.",
	),
] as const;

export const RULES = prose(
	"`npm run docs` refuses to draw a wiring that breaks one of these, and for each there is a",
	"test that spoils the wiring and sees it found.",
);
