// A module of the page's build that is made from the project's YAML files, so that no page has to
// read YAML before it can begin. The readers are the built ones: `npm run build` makes them first.

import { join } from "node:path";
import { pathToFileURL } from "node:url";

const NAME = "virtual:bench-world";
const RESOLVED = `\0${NAME}`;

/** @param root the project's folder */
export const benchWorldPlugin = (root) => ({
	name: "bench-world",
	resolveId: (source) => (source === NAME ? RESOLVED : null),
	async load(id) {
		if (id !== RESOLVED) return null;
		const built = pathToFileURL(join(root, ".build/host/report/bench-world.js")).href;
		const { benchWorld } = await import(built);
		const text = JSON.stringify(JSON.stringify(benchWorld(root)));
		// Parsing a text is quicker than evaluating an object of this size.
		return `export const world = JSON.parse(${text});`;
	},
});
