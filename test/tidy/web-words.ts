// Finds words that a page's code has of its own: texts between tags, and strings in what is shown
// or read aloud. They belong into the catalogue, where another language can be put in their place.

import ts from "typescript";

export interface OwnWord {
	readonly line: number;
	readonly text: string;
}

/** Attributes whose strings the browser reads, and no person. */
const FOR_THE_BROWSER = new Set([
	...["class", "id", "role", "type", "name", "key", "href", "rel", "lang", "scope", "for", "kind"],
	...["autocomplete", "inputMode", "value", "at", "of", "spellcheck", "method", "target"],
	...["d", "viewBox", "fill", "stroke", "x", "y", "cx", "cy", "r", "rx", "width", "height"],
	...["points", "transform", "clip-path", "patternUnits", "text-anchor", "style", "as"],
	...[
		"aria-live",
		"aria-hidden",
		"aria-current",
		"aria-labelledby",
		"aria-describedby",
		"aria-controls",
	],
	...["data-told", "data-state", "tabIndex", "accept", "download"],
]);

const hasLetter = (text: string) => /\p{L}/u.test(text);

/** @param text of a TSX file */
export function ownWords(file: string, text: string): OwnWord[] {
	const source = ts.createSourceFile(file, text, ts.ScriptTarget.Latest, true, ts.ScriptKind.TSX);
	const found: OwnWord[] = [];
	const add = (node: ts.Node, words: string) => {
		const { line } = source.getLineAndCharacterOfPosition(node.getStart(source));
		found.push({ line: line + 1, text: words.trim() });
	};
	const visit = (node: ts.Node): void => {
		if (ts.isJsxText(node) && hasLetter(node.text)) add(node, node.text);
		if (ts.isJsxAttribute(node)) {
			if (FOR_THE_BROWSER.has(node.name.getText(source)) || isHandler(node, source)) {
				visitParts(node, visit);
				return;
			}
			if (node.initializer !== undefined)
				for (const [at, words] of shown(node.initializer)) add(at, words);
		}
		if (ts.isJsxExpression(node) && isChild(node) && node.expression !== undefined) {
			for (const [at, words] of shown(node.expression)) add(at, words);
		}
		visitParts(node, visit);
	};
	visit(source);
	return found;
}

const visitParts = (node: ts.Node, visit: (part: ts.Node) => void) => ts.forEachChild(node, visit);
const isChild = ({ parent }: ts.Node) => ts.isJsxElement(parent) || ts.isJsxFragment(parent);
const isHandler = (node: ts.JsxAttribute, source: ts.SourceFile) =>
	/^(on[A-Z]|ref$)/.test(node.name.getText(source));

/** Functions whose strings are keys, and what texts are cut and joined by. */
const TAKES_KEYS = new Set([
	...["measure", "figure", "unitOf", "inUnit", "fromUnit", "quantity"],
	...["replace", "replaceAll", "split", "padStart"],
]);
const takesKeys = ({ expression }: ts.CallExpression) =>
	TAKES_KEYS.has(
		ts.isPropertyAccessExpression(expression) ? expression.name.text : expression.getText(),
	);

/** Strings that an expression may come out as; what it only compares or looks up is none. */
function shown(node: ts.Node): Array<readonly [ts.Node, string]> {
	if (ts.isStringLiteralLike(node)) return hasLetter(node.text) ? [[node, node.text]] : [];
	if (ts.isTemplateExpression(node)) {
		const texts = [node.head.text, ...node.templateSpans.map(({ literal }) => literal.text)];
		return hasLetter(texts.join("")) ? [[node, texts.join("…")]] : [];
	}
	if (ts.isParenthesizedExpression(node)) return shown(node.expression);
	if (ts.isJsxExpression(node)) return node.expression === undefined ? [] : shown(node.expression);
	if (ts.isConditionalExpression(node)) return [...shown(node.whenTrue), ...shown(node.whenFalse)];
	if (ts.isArrayLiteralExpression(node)) return node.elements.flatMap(shown);
	if (ts.isObjectLiteralExpression(node)) {
		return node.properties.flatMap((one) =>
			ts.isPropertyAssignment(one) ? shown(one.initializer) : [],
		);
	}
	// A phrase is filled with values, and a value that is a word is one of the code's own.
	if (ts.isCallExpression(node)) return takesKeys(node) ? [] : node.arguments.flatMap(shown);
	if (!ts.isBinaryExpression(node)) return [];
	const { kind } = node.operatorToken;
	if (kind === ts.SyntaxKind.PlusToken) return [...shown(node.left), ...shown(node.right)];
	const isEither =
		kind === ts.SyntaxKind.BarBarToken || kind === ts.SyntaxKind.QuestionQuestionToken;
	if (isEither) return [...shown(node.left), ...shown(node.right)];
	return kind === ts.SyntaxKind.AmpersandAmpersandToken ? shown(node.right) : [];
}
