// Where the project's own files stand: the nearest folder above this file that holds the package,
// whether it runs as built or as it is written. Imports Node only.

import { existsSync } from "node:fs";
import { dirname, join, sep } from "node:path";
import { fileURLToPath } from "node:url";

function nearestPackage(folder: string): string {
	const above = dirname(folder);
	const isHere = above === folder || existsSync(join(folder, "package.json"));
	return isHere ? `${folder}${sep}` : nearestPackage(above);
}

/** The project's folder; scenarios, rigs and the pin map are read from it. */
export const projectRoot = nearestPackage(dirname(fileURLToPath(import.meta.url)));
