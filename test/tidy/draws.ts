// What a source file draws, and whether it says with which seed: fast-check's runs, generators of
// pure-rand, and what the machine itself draws. Reads the syntax tree, so that a comment or a name
// is no draw.

import ts from "typescript";

export interface Draw {
	readonly line: number;
	/** As it is called. */
	readonly call: string;
	readonly isSeeded: boolean;
}

/** Of fast-check, what runs draws. */
const RUNNERS = new Set(["assert", "check", "sample", "statistics"]);
/** Of Node and the language, what draws and takes no seed. */
const SEEDLESS = new Set([
	...["random", "getRandomValues", "randomUUID", "randomBytes", "randomInt"],
	...["randomFill", "randomFillSync"],
]);
const GENERATOR = "pure-rand/generator/";

export function drawsIn(file: string, text: string): Draw[] {
	const source = ts.createSourceFile(file, text, ts.ScriptTarget.ES2023, true);
	const generators = new Set<string>();
	const draws: Draw[] = [];
	const found = (node: ts.Node, call: string, isSeeded: boolean) => {
		const { line } = source.getLineAndCharacterOfPosition(node.getStart());
		draws.push({ line: line + 1, call, isSeeded });
	};
	const visit = (node: ts.Node): void => {
		if (ts.isImportDeclaration(node)) {
			const from = (node.moduleSpecifier as ts.StringLiteral).text;
			const bindings = node.importClause?.namedBindings;
			const names = bindings && ts.isNamedImports(bindings) ? bindings.elements : [];
			// What comes by another name would be looked past.
			const isPlain = node.importClause?.name?.text === "fc" && names.length === 0;
			if (from === "fast-check" && !isPlain) found(node, "import of fast-check", false);
			if (from === "pure-rand") found(node, "import of pure-rand", false);
			for (const { name } of names) if (from.startsWith(GENERATOR)) generators.add(name.text);
		}
		if (ts.isCallExpression(node)) {
			const { expression, arguments: given } = node;
			const owner = ts.isPropertyAccessExpression(expression) ? expression.expression : null;
			const name = ts.isPropertyAccessExpression(expression)
				? expression.name.text
				: expression.getText();
			if (owner?.getText() === "fc" && RUNNERS.has(name)) {
				found(node, `fc.${name}`, given.some(hasSeed));
			} else if (generators.has(name)) {
				found(node, name, isSeed(given[0]?.getText() ?? ""));
			} else if (SEEDLESS.has(name)) found(node, name, false);
		}
		ts.forEachChild(node, visit);
	};
	visit(source);
	return draws;
}

/** An object literal with a property `seed`. */
function hasSeed(node: ts.Expression): boolean {
	return (
		ts.isObjectLiteralExpression(node) &&
		node.properties.some((property) => property.name?.getText() === "seed")
	);
}

/** A whole number, or something that is called a seed. */
const isSeed = (text: string): boolean => /^\d+$|seed\b/i.test(text);
