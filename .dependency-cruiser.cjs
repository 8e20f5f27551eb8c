// The import table: which room may import which. Held in `npm test`; the reasons are in
// DEVELOPERS.md. A rule's name is what it forbids.

/** What of the firmware is for other rooms; the rest is its own. */
const PUBLIC = [
	"^firmware/(config|board|log|link|commission)/",
	"^firmware/(controller|main|totals|calibration|boot-clock|local-time|last-look|standing)",
	"^firmware/cycle/(commands|orders|order-schemas|plan-schema|sweep-plan)",
	"^firmware/sense/(restriction)\\.ts$",
	"^firmware/cycle/(trips|holds|coverage|effects|advance|setpoints)",
];
/** What a browser runs as well as a computer aboard: no file, no thread, no line. */
const PURE = [
	"^firmware/(sense|cycle)/",
	"^firmware/(controller|interlock|intake|totals|schedule|local-time|last-look|standing)",
	"^firmware/config/(?!input-file)",
	"^firmware/log/(record|record-text|sample-columns|varint|tick-records|writer|recovery|tape|ring)",
	"^firmware/link/(protocol|pairing)",
];

const room = (name) => `^${name}/`;

module.exports = {
	forbidden: [
		{
			name: "firmware imports another room",
			severity: "error",
			from: { path: room("firmware") },
			to: { path: "^(sim|host|test|hardware)/" },
		},
		{
			name: "the pure inside of the firmware imports its shell",
			comment: "sense, cycle, interlock, controller know no pin, file, clock or line",
			severity: "error",
			from: { path: PURE },
			to: {
				path: "^firmware/(board/(?!port)|link|main|config/input-file)",
				dependencyTypesNot: ["type-only"],
			},
		},
		{
			name: "the pure inside of the firmware imports Node",
			severity: "error",
			from: { path: PURE },
			to: { dependencyTypes: ["core"] },
		},
		{
			name: "the interlock imports more than types",
			severity: "error",
			from: { path: "^firmware/interlock" },
			to: { dependencyTypesNot: ["type-only"] },
		},
		{
			name: "sense imports the cycle",
			comment: "but for the types of the events that it sends",
			severity: "error",
			from: { path: "^firmware/sense/" },
			to: { path: "^firmware/cycle/", dependencyTypesNot: ["type-only"] },
		},
		{
			name: "another room reaches past the firmware's public entries",
			severity: "error",
			from: { path: "^(sim|host)/" },
			to: { path: "^firmware/", pathNot: PUBLIC, dependencyTypesNot: ["type-only"] },
		},
		{
			name: "xstate outside the cycle",
			severity: "error",
			from: { path: room("firmware"), pathNot: "^firmware/cycle/" },
			to: { path: "node_modules/xstate" },
		},
		{
			name: "johnny-five or serialport outside board and link",
			severity: "error",
			from: { path: "^(firmware|sim)/", pathNot: "^firmware/(board|link)/" },
			to: { path: "node_modules/(johnny-five|firmata-io|serialport)" },
		},
		{
			name: "sim imports host or test",
			severity: "error",
			from: { path: room("sim") },
			to: { path: "^(host|test)/" },
		},
		{
			name: "physics imports anything",
			severity: "error",
			from: { path: "^sim/physics/" },
			to: { pathNot: "^sim/physics/" },
		},
		{
			name: "the bench or the model uses a clock or Node outside its loader",
			severity: "error",
			from: { path: room("sim"), pathNot: "^sim/(bench/load|emulated-board/)" },
			to: { dependencyTypes: ["core"] },
		},
		{
			name: "host imports test",
			severity: "error",
			from: { path: room("host") },
			to: { path: room("test") },
		},
		{
			name: "the web page imports Node",
			severity: "error",
			from: { path: "^host/web/", pathNot: "vite\\.config|-plugin\\.mjs$" },
			to: { dependencyTypes: ["core"] },
		},
		{
			name: "the web page imports the server or the command",
			comment: "it knows them by what they send; what both need stands in host/web or above",
			severity: "error",
			from: { path: "^host/web/" },
			to: { path: "^host/(serve|cli|link|archive)/", dependencyTypesNot: ["type-only"] },
		},
		{
			name: "the server imports the command",
			severity: "error",
			from: { path: "^host/serve/" },
			to: { path: "^host/cli/" },
		},
		{
			name: "hono outside the server",
			severity: "error",
			from: { path: "^(firmware|sim|host)/", pathNot: "^host/serve/" },
			to: { path: "node_modules/(hono|@hono)/" },
		},
		{
			name: "a cycle of imports",
			severity: "error",
			from: {},
			to: { circular: true, viaOnly: { dependencyTypesNot: ["type-only"] } },
		},
		{
			name: "an import that does not resolve",
			severity: "error",
			from: {},
			// What begins so is made when the pages are built.
			to: { couldNotResolve: true, pathNot: "^virtual:" },
		},
	],
	options: {
		doNotFollow: { path: "node_modules" },
		tsPreCompilationDeps: true,
		tsConfig: { fileName: "tsconfig.json" },
		enhancedResolveOptions: {
			exportsFields: ["exports"],
			conditionNames: ["import", "types", "node", "default"],
		},
	},
};
