// Every command that the pages for builders and readers print, and how it is proven. A command that
// no row knows fails the test, and so does a row that no page has. What a row says in place of
// running it is its reason.

export type Proof =
	/** Runs as printed at a live rig, in the order of this table, and ends so. */
	| { readonly how: "runs"; readonly status: number; readonly says?: RegExp }
	/** Runs as printed at the live rig until it has said this; then Ctrl-C ends it. */
	| { readonly how: "runs until"; readonly says: RegExp; readonly stays?: true }
	/** Command, arguments and options are held to the command's own help. */
	| { readonly how: "help"; readonly because: string }
	/** The script is in package.json. */
	| { readonly how: "npm script"; readonly because: string }
	/** A shell script of the project: it is there, it parses, its options are in its text. */
	| { readonly how: "script"; readonly because: string }
	/** Not ours. Each file of the project that it names is there. */
	| { readonly how: "not ours"; readonly because: string };

/** The command as printed, or a pattern for a family of them. */
export type Row = readonly [string | RegExp, Proof];

const runs = (status: number, says?: RegExp): Proof =>
	says === undefined ? { how: "runs", status } : { how: "runs", status, says };
const help = (because: string): Proof => ({ how: "help", because });
const notOurs = (because: string): Proof => ({ how: "not ours", because });

export const rows: readonly Row[] = [
	// The guide, from the rig file to the first night.
	["cp sim/bench/rigs/teal-willow.rig.yaml my-own.rig.yaml", runs(0)],
	["npx lees size my-own.rig.yaml", runs(0, /WARNINGS/)],
	["npx lees coverage my-own.rig.yaml", runs(0, /may be left alone/)],
	[
		"npx lees control my-own.rig.yaml --board firmata:/dev/ttyACM0 " +
			"--log first-log --socket lees.sock",
		{ how: "runs until", says: /controlling .*idle/, stays: true },
	],
	["npx lees clock lees.sock", runs(0)],
	["npx lees watch lees.sock", { how: "runs until", says: /idle/i }],
	// Nothing is proven at a rig that was never commissioned.
	["npx lees commission lees.sock --list", runs(1, /due/)],
	["npx lees commission lees.sock --changed contacts --by AB", runs(1, /due already/)],
	["npx lees commission lees.sock --changed element --by AB", runs(1, /due already/)],
	["npx lees commission my-own.rig.yaml --print commissioning.pdf", runs(0)],
	["npx lees commission lees.sock", help("asks at a terminal: test/e2e/commission.test.ts")],
	["npx lees order polish lees.sock --tank port --litres 5 --attended", runs(0)],
	["npx lees order stop lees.sock", runs(0)],
	[
		"npx lees order polish lees.sock --tank port --turnovers 1 " +
			"--at 2026-11-29T22:00 --window-hours 6",
		// Taken, and waits for its time: what nobody has commissioned and armed is refused then.
		runs(0, /accepted/),
	],
	["npx lees serve lees.sock", { how: "runs until", says: /http:\/\/127\.0\.0\.1/ }],
	["npx lees pull lees.sock", runs(0)],
	["npx lees runs", runs(0, /port/)],
	["npx lees totals", runs(0)],
	["npx lees element --all", runs(0)],
	["npx lees replay last", runs(0, /IDENTICAL/)],
	["npx lees report --pdf season.pdf", runs(0)],
	["npx lees note ledger", runs(0)],

	// The main page and the page of the steps.
	[
		/^(npx )?lees commission (PORT|RIG|\/dev\/|my-own)/,
		help("the guide's lines above, and test/e2e/commission.test.ts"),
	],

	// The main page: what a test of its own plays at length.
	[/^npx lees size my-own\.rig\.yaml --/, help("test/e2e/size.test.ts")],
	[/^npx lees bench /, help("test/e2e/bench.test.ts and bench-all.test.ts")],
	[/^npx lees campaign/, help("test/e2e/campaign.test.ts")],
	[/^npx lees emulate /, help("test/e2e/live.test.ts")],
	[/^npx lees control sim\/bench\/rigs\//, help("test/e2e/live.test.ts")],
	[/^npx lees order polish \/tmp\/link-b /, help("test/e2e/live.test.ts")],
	[/^npx lees (pull|watch) \/(dev|tmp)\//, help("test/e2e/pull.test.ts and watch.test.ts")],
	[/^npx lees serve( \/dev\/|$)/, help("test/e2e/serve.test.ts and those beside it")],
	[/^npx lees replay (88|water)/, help("test/e2e/replay.test.ts")],
	[
		/^npm (start|test|run )/,
		{ how: "npm script", because: "npm test and the first look run them" },
	],
	[/^socat /, notOurs("test/e2e/live.ts makes the same two ends")],

	// The page of the service.
	["npx lees pull /dev/ttyACM0 --archive season.sqlite", help("test/e2e/pull.test.ts")],
	[
		/^hardware\/service\/install\.sh/,
		{ how: "script", because: "test/hardware/service.test.ts installs and takes off" },
	],
	[
		/^(apt-get|git|cd|mkdir|npm ci|udevadm|grep|systemctl|journalctl|ls)( |$)/,
		notOurs("the system's own, on a computer that this one is not"),
	],

	["sudo apt-get install avrdude", notOurs("the system's packages")],
	[/^avrdude /, notOurs("needs a chip; the image that it writes is the one of the emulated board")],
];
