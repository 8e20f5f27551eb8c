// A HEIC photo whose EXIF and XMP are blanked where they lie: moving them would move what the
// picture's parts are found by. Boxes after ISO/IEC 14496-12, items after ISO/IEC 23008-12 (from
// memory). What is not known here is refused. Pure.

import { asciiAt, PhotoRefused, uint16, uint32 } from "./photo-parts.ts";

const ALLOWED = "a photo as JPEG: most phones and programs save one";
/** At the file's own level; a film or somebody's own box may tell of a place. */
const BOXES = new Set(["ftyp", "meta", "mdat", "free", "skip"]);
const META_BOXES = new Set([
	"hdlr",
	"pitm",
	"iinf",
	"iloc",
	"iprp",
	"iref",
	"idat",
	"dinf",
	"grpl",
]);
const PICTURES = new Set(["hvc1", "grid", "iovl", "iden", "tmap"]);
const METADATA = new Set(["Exif", "mime"]);

interface Box {
	readonly type: string;
	/** Of what is in it. */
	readonly from: number;
	readonly to: number;
}

/** @throws PhotoRefused when it holds what is not known; RangeError when it is cut off */
export function plainHeic(bytes: Uint8Array): Uint8Array {
	const boxes = boxesIn(bytes, 0, bytes.length, BOXES);
	const meta = boxes.find(({ type }) => type === "meta");
	if (meta === undefined) throw refused("a HEIC without a picture");
	// A full box: version and flags come first.
	const inside = boxesIn(bytes, meta.from + 4, meta.to, META_BOXES);
	const hidden = metadataItems(bytes, boxNamed(inside, "iinf"));
	const plain = bytes.slice();
	const idat = inside.find(({ type }) => type === "idat");
	const idatAt = idat?.from ?? null;
	for (const { from, length } of extentsOf(bytes, boxNamed(inside, "iloc"), hidden, idatAt)) {
		if (from + length > bytes.length) throw new RangeError("extent");
		plain.fill(0, from, from + length);
	}
	for (const box of boxes) {
		if (box.type === "free" || box.type === "skip") plain.fill(0, box.from, box.to);
	}
	// What no item owns up to is found by how it begins. Items' names stand outside the data.
	const data = [
		...boxes.filter(({ type }) => type === "mdat"),
		...(idat === undefined ? [] : [idat]),
	];
	const hasExif = data.some(({ from, to }) =>
		Buffer.from(plain.buffer, from, to - from).includes("Exif\0\0", 0, "latin1"),
	);
	if (hasExif) throw refused("a HEIC with EXIF");
	return plain;
}

const refused = (found: string) => new PhotoRefused(found, ALLOWED);

function boxNamed(boxes: readonly Box[], name: string): Box {
	const box = boxes.find(({ type }) => type === name);
	if (box === undefined) throw refused("a HEIC without a picture");
	return box;
}

function boxesIn(bytes: Uint8Array, from: number, to: number, known: ReadonlySet<string>): Box[] {
	const boxes: Box[] = [];
	for (let at = from; at < to; ) {
		const size = uint32(bytes, at);
		const type = asciiAt(bytes, at + 4, 4);
		// 0 is "to the end"; 1 is a length of 64 bits, of which no photo needs the upper half.
		const isLong = size === 1;
		if (isLong && uint32(bytes, at + 8) !== 0) throw new RangeError("box");
		const length = isLong ? uint32(bytes, at + 12) : size === 0 ? to - at : size;
		const head = isLong ? 16 : 8;
		if (length < head || at + length > to) throw new RangeError("box");
		if (!known.has(type)) throw refused(`a HEIC with a part ${JSON.stringify(type)}`);
		boxes.push({ type, from: at + head, to: at + length });
		at += length;
	}
	return boxes;
}

/** Numbers of the items that are no picture. */
function metadataItems(bytes: Uint8Array, { from, to }: Box): Set<number> {
	const isShort = bytes[from] === 0;
	const entries = boxesIn(bytes, from + (isShort ? 6 : 8), to, new Set(["infe"]));
	const items = new Set<number>();
	for (const entry of entries) {
		const version = bytes[entry.from] ?? 0;
		if (version < 2) throw refused("a HEIC of an old kind");
		const isWide = version > 2;
		const id = isWide ? uint32(bytes, entry.from + 4) : uint16(bytes, entry.from + 4);
		const type = asciiAt(bytes, entry.from + (isWide ? 10 : 8), 4);
		if (METADATA.has(type)) items.add(id);
		else if (!PICTURES.has(type)) throw refused(`a HEIC with a part ${JSON.stringify(type)}`);
	}
	return items;
}

/** Where the bytes of those items lie in the file. */
function extentsOf(
	bytes: Uint8Array,
	{ from }: Box,
	items: ReadonlySet<number>,
	idatAt: number | null,
): Array<{ from: number; length: number }> {
	const version = bytes[from] ?? 0;
	const sizes = uint16(bytes, from + 4);
	const [offsetSize, lengthSize] = [sizes >> 12, (sizes >> 8) & 15];
	const [baseSize, indexSize] = [(sizes >> 4) & 15, version === 0 ? 0 : sizes & 15];
	let at = from + 6;
	const next = (size: number): number => {
		if (![0, 2, 4, 8].includes(size)) throw new RangeError("size");
		at += size;
		if (size === 0) return 0;
		if (size === 2) return uint16(bytes, at - 2);
		if (size === 8 && uint32(bytes, at - 8) !== 0) throw new RangeError("offset");
		return uint32(bytes, at - 4);
	};
	const wide = version === 2 ? 4 : 2;
	const extents: Array<{ from: number; length: number }> = [];
	for (let count = next(wide); count > 0; count -= 1) {
		const id = next(wide);
		const method = version === 0 ? 0 : next(2) & 15;
		const source = next(2);
		const base = next(baseSize);
		for (let left = next(2); left > 0; left -= 1) {
			next(indexSize);
			const offset = next(offsetSize);
			const length = next(lengthSize);
			if (!items.has(id)) continue;
			const start = method === 0 ? 0 : idatAt;
			if (start === null || method > 1 || source !== 0) throw refused("a HEIC with hidden parts");
			extents.push({ from: start + base + offset, length });
		}
	}
	return extents;
}
