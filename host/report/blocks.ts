// A document before it has a form: titles, words, tables and pictures, from which HTML, PDF, page
// and terminal are all made, so that none of them can say another thing. Imports nothing.

export interface Column {
	readonly head: string;
	/** Numbers stand to the right, so that their digits are under each other. */
	readonly isNumber: boolean;
	/** Names, and words of the log or of people: no catalogue has them. */
	readonly isTold?: boolean;
}

/** A line or an area of a picture; `d` as in SVG, in points from the top left. */
export interface PathShape {
	readonly d: string;
	readonly width: number;
	readonly dash: readonly number[];
	/** Filled instead of drawn. */
	readonly isFilled: boolean;
	readonly shade: Shade;
}

export interface TextShape {
	readonly words: string;
	readonly x: number;
	/** Of the line on which the letters stand. */
	readonly y: number;
	readonly anchor: "start" | "middle" | "end";
	readonly isBold: boolean;
}

/** Grey is told from black by its place or its dashes as well; `paper` is what lies under both. */
export type Shade = "black" | "grey" | "pale" | "paper";

/** Size of type in pictures, points. */
export const PICTURE_TYPE = 8;

export type Block =
	| { readonly kind: "title"; readonly text: string }
	| { readonly kind: "heading"; readonly text: string }
	/** `mark` stands out; `small` is for who wants to know more. */
	| {
			readonly kind: "words";
			readonly text: string;
			readonly tone: "plain" | "mark" | "small";
			readonly isTold?: boolean;
	  }
	| {
			readonly kind: "table";
			readonly columns: readonly Column[];
			readonly rows: ReadonlyArray<readonly string[]>;
	  }
	| {
			readonly kind: "picture";
			/** What it shows, for who does not see it. */
			readonly description: string;
			readonly width: number;
			readonly height: number;
			readonly paths: readonly PathShape[];
			readonly texts: readonly TextShape[];
	  };

export type Table = Extract<Block, { kind: "table" }>;
export type Picture = Extract<Block, { kind: "picture" }>;

export interface Paper {
	readonly lang: string;
	readonly title: string;
	/** At the foot of each page; empty: nothing. */
	readonly foot: string;
	readonly blocks: readonly Block[];
}

export const paperSizes = ["A4", "Letter"] as const;
export type PaperSize = (typeof paperSizes)[number];
