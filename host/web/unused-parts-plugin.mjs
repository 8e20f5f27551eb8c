// What is carried along and no page ever asks for, left out of the build: zod's JSON Schema, the
// older YAML, and how a step of commissioning goes, which no page begins: its controller knows what
// is proven, and takes no such command. Whoever calls it in a page calls nothing, and fails there
// and then. Node.

import { readFileSync } from "node:fs";

const UNUSED = [
	/\/firmware\/commission\/kinds\.ts$/,
	/\/zod\/v4\/core\/(to-json-schema|json-schema-processors)\.js$/,
	/\/yaml\/browser\/dist\/schema\/yaml-1\.1\/(binary|omap|pairs|set|timestamp|schema)\.js$/,
];

const EXPORTED = /^export (?:const|function) (\w+)|^export \{([^}]+)\}/gm;

/** Names that a module's text exports. */
const namesIn = (text) =>
	[...text.matchAll(EXPORTED)].flatMap(([, name, list]) =>
		name === undefined ? list.split(",").map((one) => one.trim().split(" as ").at(-1)) : [name],
	);

export const unusedPartsPlugin = {
	name: "unused-parts",
	load(id) {
		if (!UNUSED.some((part) => part.test(id))) return null;
		const names = namesIn(readFileSync(id, "utf8"));
		if (names.length === 0) this.error(`${id} exports nothing that can be left out`);
		return names
			.map((name) => `const ${name}_ = void 0;\nexport { ${name}_ as ${name} };\n`)
			.join("");
	},
};
