// Photos: what tells where and when one was taken is left out, what is no picture is refused or cut
// off, and the picture's own bytes stay. The files are put together here, part by part.

import { crc32 } from "node:zlib";
import { describe, expect, it } from "vitest";
import { PHOTO_BYTES_MAX, readPhoto } from "../../host/archive/photo.ts";
import { PhotoRefused } from "../../host/archive/photo-parts.ts";

const text = (words: string): number[] => [...Buffer.from(words, "latin1")];
const u16 = (value: number): number[] => [value >> 8, value & 255];
const u32 = (value: number): number[] => [...u16(value >>> 16), ...u16(value & 0xffff)];
const u32le = (value: number): number[] => u32(value).reverse();
const file = (...parts: number[][]): Uint8Array => Uint8Array.from(parts.flat());
const has = (bytes: Uint8Array, words: string): boolean =>
	Buffer.from(bytes).includes(words, 0, "latin1");

/** Where the boat lies, as a camera writes it; invented. */
const PLACE = "N 57 12 E 11 58 invented";

describe("a JPEG", () => {
	const segment = (marker: number, body: number[]) => [
		0xff,
		marker,
		...u16(body.length + 2),
		...body,
	];
	const tiff = (way: number, isLittle: boolean): number[] => {
		const two = (value: number) => (isLittle ? u16(value).reverse() : u16(value));
		const four = (value: number) => (isLittle ? u32le(value) : u32(value));
		const gps = [...two(0x8825), ...two(4), ...four(1), ...four(60)];
		const turn = [...two(0x0112), ...two(3), ...four(1), ...two(way), 0, 0];
		const mark = isLittle ? "II" : "MM";
		return [
			...text(mark),
			...two(42),
			...four(8),
			...two(2),
			...turn,
			...gps,
			...four(0),
			...text(PLACE),
		];
	};
	const exif = (way: number, isLittle = false) =>
		segment(0xe1, [...text("Exif\0\0"), ...tiff(way, isLittle)]);
	const soi = [0xff, 0xd8];
	const jfif = segment(0xe0, [...text("JFIF\0"), 1, 2, 0, 0, 1, 0, 1, 0, 0]);
	const tables = segment(0xdb, new Array(65).fill(1));
	const frame = segment(0xc2, [8, 0, 1, 0, 1, 1, 1, 0x11, 0]);
	// A stuffed byte, a restart, and a second scan after another table.
	const scan = [...segment(0xda, [1, 1, 0, 0, 63, 0]), 0x12, 0xff, 0x00, 0x34, 0xff, 0xd0, 0x56];
	const scans = [...scan, ...segment(0xc4, [0, ...new Array(16).fill(0)]), ...scan];
	const eoi = [0xff, 0xd9];
	const bare = file(soi, jfif, tables, frame, scans, eoi);

	it("that holds nothing but a picture stays as it is", () => {
		expect(readPhoto(bare)).toEqual({ kind: "jpeg", bytes: bare });
	});

	it("keeps no EXIF with its place, no XMP, IPTC, comment, thumbnail or maker's part", () => {
		const others = [0xe1, 0xe2, 0xed, 0xfe, 0xe0, 0xef].map((marker) =>
			segment(marker, text(PLACE)),
		);
		const photo = readPhoto(file(soi, jfif, exif(1), ...others, tables, frame, scans, eoi));
		expect(photo.bytes).toEqual(bare);
	});

	it.each([true, false])("keeps how the phone was held, little-endian: %s", (isLittle) => {
		const { bytes } = readPhoto(file(soi, exif(6, isLittle), jfif, tables, frame, scans, eoi));
		expect(has(bytes, PLACE)).toBe(false);
		const at = Buffer.from(bytes).indexOf("Exif\0\0", 0, "latin1");
		expect([...bytes.subarray(at + 6, at + 6 + 14)]).toEqual([
			...text("MM"),
			...u16(42),
			...u32(8),
			...u16(1),
			...u16(0x0112),
			...u16(3),
		]);
		expect([...bytes.subarray(at + 24, at + 26)]).toEqual(u16(6));
		// What is kept is again a photo that stays as it is.
		expect(readPhoto(bytes).bytes).toEqual(bytes);
	});

	it("ends where its picture does: a page or another picture behind it is cut off", () => {
		const tail = text(`<script>alert(1)</script>PK${PLACE}`);
		expect(readPhoto(file([...bare], tail, [...bare])).bytes).toEqual(bare);
	});

	it.each([
		["that is a page", file(soi, [0xff], text("<html><script>alert(1)</script></html>"))],
		["without a picture", file(soi, jfif, tables, eoi, new Array(20).fill(0))],
		["without a scan", file(soi, jfif, tables, frame, eoi)],
		["that is cut in its scan", bare.subarray(0, bare.length - 4)],
		["that is cut in a table", bare.subarray(0, 40)],
		[
			"whose part says that it is longer than the file",
			file(soi, [0xff, 0xe0, 0xff, 0xff], new Array(20).fill(0)),
		],
		["whose part has no length", file(soi, [0xff, 0xe0, 0, 0], new Array(20).fill(0))],
		["with bytes between its parts", file(soi, jfif, [0, 1, 2], tables, frame, scans, eoi)],
	])("%s is refused", (_, bytes) => {
		expect(() => readPhoto(bytes)).toThrow(PhotoRefused);
	});
});

describe("a PNG", () => {
	const head = [0x89, ...text("PNG\r\n"), 0x1a, 0x0a];
	const chunk = (type: string, body: number[]) => {
		const inside = [...text(type), ...body];
		return [...u32(body.length), ...inside, ...u32(crc32(Uint8Array.from(inside)))];
	};
	const begin = chunk("IHDR", [...u32(1), ...u32(1), 8, 0, 0, 0, 0]);
	const data = chunk("IDAT", [120, 156, 99, 0, 0, 0, 2, 0, 1]);
	const bare = file(head, begin, chunk("gAMA", u32(45_455)), data, chunk("IEND", []));

	it("keeps its picture and no text, time, EXIF or anything behind it", () => {
		const others = ["eXIf", "tEXt", "iTXt", "zTXt", "tIME", "acTL", "prVt"].map((type) =>
			chunk(type, text(PLACE)),
		);
		const gamma = chunk("gAMA", u32(45_455));
		const whole = file(head, begin, ...others, gamma, data, chunk("IEND", []), text(PLACE));
		expect(readPhoto(whole)).toEqual({ kind: "png", bytes: bare });
	});

	it.each([
		["with a sum that is wrong", file([...bare].map((byte, i) => (i === 40 ? byte ^ 1 : byte)))],
		["that begins with another chunk", file(head, data, begin, chunk("IEND", []))],
		["without a picture", file(head, begin, chunk("IEND", []))],
		["that is cut off", bare.subarray(0, bare.length - 6)],
		["that is a page", file(head, text("<html><script>alert(1)</script>"))],
	])("%s is refused", (_, bytes) => {
		expect(() => readPhoto(bytes)).toThrow(PhotoRefused);
	});
});

describe("a WebP", () => {
	const chunk = (type: string, body: number[]) => [
		...text(type),
		...u32le(body.length),
		...body,
		...(body.length % 2 === 0 ? [] : [0]),
	];
	const webp = (...chunks: number[][]) => {
		const inside = [...text("WEBP"), ...chunks.flat()];
		return file(text("RIFF"), u32le(inside.length), inside);
	};
	const flags = (byte: number) => chunk("VP8X", [byte, 0, 0, 0, 0, 0, 0, 0, 0, 0]);
	const picture = chunk("VP8 ", [1, 2, 3]);

	it("keeps its picture, without EXIF and XMP and without saying that it has any", () => {
		const whole = webp(
			flags(0x1c),
			picture,
			chunk("EXIF", text(PLACE)),
			chunk("XMP ", text(PLACE)),
		);
		expect(readPhoto(whole)).toEqual({ kind: "webp", bytes: webp(flags(0x10), picture) });
		expect(readPhoto(file([...webp(picture)], text(PLACE))).bytes).toEqual(webp(picture));
	});

	it.each([
		["that moves", webp(flags(2), chunk("ANIM", [0, 0, 0, 0, 0, 0]), chunk("ANMF", text(PLACE)))],
		["without a picture", webp(flags(0))],
		["that is cut off", webp(picture, chunk("ALPH", [1, 2])).subarray(0, 28)],
	])("%s is refused", (_, bytes) => {
		expect(() => readPhoto(bytes)).toThrow(PhotoRefused);
	});
});

describe("a HEIC", () => {
	const box = (type: string, ...body: number[][]) => {
		const inside = body.flat();
		return [...u32(inside.length + 8), ...text(type), ...inside];
	};
	const infe = (id: number, type: string) =>
		box("infe", [2, 0, 0, 0], u16(id), u16(0), text(`${type}\0`));
	const place = text(PLACE);
	const exif = [...u32(6), ...text("Exif\0\0MM"), ...place];
	/** EXIF in the data box, XMP in the item data. */
	function heic(types = ["hvc1", "Exif", "mime"], ...more: number[][]): Uint8Array {
		const ftyp = box("ftyp", text("heic"), u32(0), text("mif1"));
		const meta = (at: number) => {
			const entry = (id: number, method: number, offset: number, length: number) =>
				[u16(id), u16(method), u16(0), u16(1), u32(offset), u32(length)].flat();
			const items = [
				entry(1, 0, at, 4),
				entry(2, 0, at + 4, exif.length),
				entry(3, 1, 0, place.length),
			];
			return box(
				"meta",
				[0, 0, 0, 0],
				box("hdlr", new Array(24).fill(0)),
				box("iinf", [0, 0, 0, 0], u16(types.length), ...types.map((type, i) => infe(i + 1, type))),
				box("iloc", [1, 0, 0, 0], [0x44, 0x00], u16(items.length), ...items),
				box("idat", place),
			);
		};
		const at = ftyp.length + meta(0).length + 8;
		return file(ftyp, meta(at), box("mdat", [9, 8, 7, 6], exif), box("free", place), ...more);
	}

	it("keeps its picture where it lies, and of EXIF, XMP and free room nothing but noughts", () => {
		const whole = heic();
		expect(has(whole, PLACE)).toBe(true);
		// As a file is read: a Buffer, whose slices would be windows on it.
		const { kind, bytes } = readPhoto(Buffer.from(whole));
		expect(kind).toBe("heic");
		expect(bytes.length).toBe(whole.length);
		expect(has(bytes, PLACE.slice(0, 6))).toBe(false);
		const at = Buffer.from(bytes).indexOf("mdat");
		expect(has(bytes.subarray(at), "Exif")).toBe(false);
		expect([...bytes.subarray(at + 4, at + 10)]).toEqual([9, 8, 7, 6, 0, 0]);
	});

	it.each([
		["with a film behind it", heic(undefined, box("moov", place)), "moov"],
		["with somebody's own box", heic(undefined, box("uuid", place)), "uuid"],
		["with an item that is not known", heic(["hvc1", "Exif", "what"]), "what"],
		["whose EXIF no item owns up to", heic(["hvc1", "hvc1", "mime"]), "EXIF"],
		["that is cut off", heic().subarray(0, 120), "cut off"],
		["with text behind its end", heic(undefined, text("<script>alert(1)</script>")), "heic"],
	])("%s is refused, as a JPEG would not be", (_, bytes, says) => {
		expect(() => readPhoto(bytes)).toThrow(PhotoRefused);
		expect(() => readPhoto(bytes)).toThrow(new RegExp(says, "i"));
	});
});

describe("what is no photo", () => {
	it.each([
		["nothing", file()],
		["a text", file(text("a note about the fuel, and no picture of it"))],
		["a GIF", file(text("GIF89a"), new Array(40).fill(0))],
		["an SVG with a script", file(text("<svg xmlns='x'><script>alert(1)</script></svg>"))],
		["a PDF", file(text("%PDF-1.7\n%\xff\xd8\xff\xe0 and more of it"))],
	])("%s is refused", (_, bytes) => {
		expect(() => readPhoto(bytes)).toThrow("no photo");
	});

	it("nor what is larger than 6 MB", () => {
		expect(() => readPhoto(new Uint8Array(PHOTO_BYTES_MAX + 1))).toThrow("at most 6 MB");
	});
});
