// Which boots of a store have a date: somebody told the time in them, or a pull saw them beside
// this computer's clock.

import type { Archive } from "./archive.ts";
import { isDated } from "./dating.ts";
import { datingOf } from "./rig-log.ts";

export interface DatedBoots {
	readonly dated: readonly number[];
	readonly undated: readonly number[];
}

export function datedBoots(archive: Archive, storeId: string): DatedBoots {
	if (archive.last(storeId) === null) return { dated: [], undated: [] };
	const dating = datingOf(archive, storeId);
	const has = archive
		.boots(storeId)
		.map(({ boot, lastMs }) => ({ boot, is: isDated(dating.at(boot, lastMs)) }));
	return {
		dated: has.filter(({ is }) => is).map(({ boot }) => boot),
		undated: has.filter(({ is }) => !is).map(({ boot }) => boot),
	};
}
