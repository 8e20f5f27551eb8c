// Photos of notes on the command line: read from a file before anything is noted, and written to a
// new file again. Imports the archive.

import { readFileSync, statSync } from "node:fs";
import { InputError } from "../../firmware/config/input-error.ts";
import { Archive } from "../archive/archive.ts";
import { PHOTO_BYTES_MAX, type Photo, readPhoto, tooLarge } from "../archive/photo.ts";
import { PhotoRefused } from "../archive/photo-parts.ts";
import { EXIT } from "./exit.ts";
import { writeNewFile } from "./new-file.ts";

/** @throws InputError when it is no photo that may be kept */
export function photoIn(file: string): Photo {
	try {
		const { size } = statSync(file);
		// Too large is told without reading it.
		if (size > PHOTO_BYTES_MAX) throw tooLarge(size);
		return readPhoto(readFileSync(file));
	} catch (error) {
		if (error instanceof PhotoRefused) throw refusal(file, error.found, error.allowed);
		if (!(error instanceof Error && "code" in error)) throw error;
		const found = error.code === "ENOENT" ? "no such file" : String(error.code);
		throw refusal(file, found, "the file of a photo");
	}
}

export function photoWords({ kind, bytes }: Photo): string {
	const kilobytes = Math.ceil(bytes.length / 1000);
	return `Photo kept: ${kind}, ${kilobytes} kB, without what told of its place and time.`;
}

export interface PhotoOptions {
	readonly archive: string;
	readonly out: string;
}

/** @throws InputError when that note has none, or the file is there already */
export function savePhoto(id: string, { archive: file, out }: PhotoOptions): number {
	const archive = new Archive(file, { create: false });
	try {
		const photo = archive.photos.read(id);
		if (photo === null) {
			const found = archive.notes.counts(id) === null ? id : `${id}, which has no photo`;
			throw refusal(file, found, "a note with a photo, as `lees note list` shows", "ID");
		}
		writeNewFile(out, photo.bytes);
		process.stdout.write(`${out}: ${photo.kind}, ${photo.bytes.length} bytes\n`);
		return EXIT.good;
	} finally {
		archive.close();
	}
}

const refusal = (file: string, found: string, allowed: string, key?: string) =>
	new InputError([{ file, found, allowed, ...(key === undefined ? {} : { key }) }]);
