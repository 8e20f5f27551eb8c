// The laptop's archive: records of many rigs, each stored once under (storeId, seq) exactly as the
// controller chained it. One SQLite file; opening anything else is refused and leaves it untouched.

import { closeSync, existsSync, openSync, readSync } from "node:fs";
import Database from "better-sqlite3";
import { InputError, messageOf } from "../../firmware/config/input-error.ts";
import { chained, type StoredRecord } from "../../firmware/log/database.ts";
import type { LogRecord } from "../../firmware/log/record.ts";
import { readRecord } from "../../firmware/log/record-text.ts";

const SCHEMA_VERSION = 1;
/** "LEEA" as a number. */
const APPLICATION_ID = 0x4c454541;
const MAGIC = "SQLite format 3\0";

const SCHEMA = `
	CREATE TABLE records (
		store_id TEXT NOT NULL,
		seq INTEGER NOT NULL,
		kind TEXT NOT NULL,
		body TEXT NOT NULL,
		chain TEXT NOT NULL,
		PRIMARY KEY (store_id, seq)
	) STRICT, WITHOUT ROWID;
`;

export class Archive {
	private readonly file: string;
	private readonly db: Database.Database;

	/** @throws InputError when the file is there and is no archive of this version */
	constructor(file: string, { create }: { create: boolean }) {
		this.file = file;
		const isNew = !existsSync(file);
		if (!isNew) this.refuseOther();
		else if (!create) {
			throw this.refusal("no such archive", "an archive that `lees pull` has filled");
		}
		try {
			this.db = new Database(file);
			if (isNew) this.make();
			else this.refuseForeign();
			this.db.pragma("journal_mode = WAL");
			this.db.pragma("synchronous = FULL");
		} catch (error) {
			if (error instanceof InputError) throw error;
			const why = messageOf(error);
			throw this.refusal(why, "an archive that can be opened");
		}
	}

	/** The last record of that store, or null: where a pull goes on. */
	last(storeId: string): { seq: number; chain: string } | null {
		const select = "SELECT seq, chain FROM records WHERE store_id = ? ORDER BY seq DESC LIMIT 1";
		const row = this.db.prepare(select).get(storeId);
		return (row as { seq: number; chain: string } | undefined) ?? null;
	}

	/**
	 * Stores records that follow what is there, in one transaction.
	 * @throws InputError when the chain does not hold; nothing of the batch is kept then
	 */
	add(storeId: string, records: readonly StoredRecord[]): void {
		const insert = this.db.prepare("INSERT INTO records VALUES (?, ?, ?, ?, ?)");
		this.db.transaction(() => {
			let { seq, chain } = this.last(storeId) ?? { seq: 0, chain: storeId };
			for (const record of records) {
				if (record.seq !== seq + 1 || chained(chain, record.json) !== record.chain) {
					throw this.refusal(
						`record ${record.seq} does not follow record ${seq}`,
						"an unbroken chain",
					);
				}
				const { kind } = JSON.parse(record.json) as LogRecord;
				insert.run(storeId, record.seq, kind, record.json, record.chain);
				({ seq, chain } = record);
			}
		})();
	}

	/** Identities of the stores in it, oldest pull first. */
	stores(): string[] {
		const rows = this.db.prepare("SELECT DISTINCT store_id AS id FROM records ORDER BY id").all();
		return (rows as Array<{ id: string }>).map(({ id }) => id);
	}

	/** All records of a store but its samples, and the last sample, first to last. */
	history(storeId: string): LogRecord[] {
		const select = `SELECT body FROM records WHERE store_id = @storeId AND (kind <> 'sample'
			OR seq = (SELECT max(seq) FROM records WHERE store_id = @storeId AND kind = 'sample'))
			ORDER BY seq`;
		const rows = this.db.prepare(select).all({ storeId }) as Array<{ body: string }>;
		return rows.flatMap(({ body }) => readRecord(body) ?? []);
	}

	close(): void {
		this.db.close();
	}

	private make(): void {
		this.db.exec(SCHEMA);
		this.db.pragma(`application_id = ${APPLICATION_ID}`);
		this.db.pragma(`user_version = ${SCHEMA_VERSION}`);
	}

	/** Looks at the first bytes only: SQLite itself would touch the file. */
	private refuseOther(): void {
		const head = Buffer.alloc(MAGIC.length);
		let length = 0;
		try {
			const handle = openSync(this.file, "r");
			length = readSync(handle, head, 0, head.length, 0);
			closeSync(handle);
		} catch (error) {
			const why = error instanceof Error && "code" in error ? String(error.code) : String(error);
			throw this.refusal(why === "EISDIR" ? "a directory" : why, "an archive file");
		}
		if (length === 0 || head.toString("latin1") !== MAGIC) {
			throw this.refusal("a file that is no archive", "an archive that `lees pull` has made");
		}
	}

	private refuseForeign(): void {
		const [id, version] = ["application_id", "user_version"].map((name) =>
			Number(this.db.pragma(name, { simple: true })),
		);
		if (id !== APPLICATION_ID) {
			throw this.refusal("a database that is no archive", "an archive that `lees pull` has made");
		}
		if (version !== SCHEMA_VERSION) {
			throw this.refusal(`an archive of version ${version}`, `version ${SCHEMA_VERSION}`);
		}
	}

	private refusal(found: string, allowed: string): InputError {
		return new InputError([{ file: this.file, found, allowed }]);
	}
}
