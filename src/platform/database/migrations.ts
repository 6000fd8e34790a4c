// Applies prisma/migrations in order, on both databases, without the engine that the Prisma CLI would download.
// The bookkeeping table has Prisma's own layout, so `prisma migrate deploy` agrees for whoever has that engine.
import { createHash, randomUUID } from "node:crypto";
import { readdir, readFile } from "node:fs/promises";
import { fileURLToPath } from "node:url";
import { z } from "zod";
import { type Ask, statement } from "./statement.ts";

/** The least a database must offer to be migrated. `script` runs many statements in one transaction. */
export interface Migratable {
  readonly rows: Ask;
  script(sql: string): Promise<void>;
  /** Runs `work` while no other process migrates. */
  withMigrationLock<T>(work: () => Promise<T>): Promise<T>;
}

interface Migration {
  readonly name: string;
  readonly sql: string;
  readonly checksum: string;
}

const folder = fileURLToPath(new URL("../../../prisma/migrations/", import.meta.url));

const bookkeeping = `CREATE TABLE IF NOT EXISTS "_prisma_migrations" (
  "id" VARCHAR(36) PRIMARY KEY NOT NULL,
  "checksum" VARCHAR(64) NOT NULL,
  "finished_at" TIMESTAMPTZ,
  "migration_name" VARCHAR(255) NOT NULL,
  "logs" TEXT,
  "rolled_back_at" TIMESTAMPTZ,
  "started_at" TIMESTAMPTZ NOT NULL DEFAULT now(),
  "applied_steps_count" INTEGER NOT NULL DEFAULT 0
);`;

async function knownMigrations(): Promise<Migration[]> {
  const entries = await readdir(folder, { withFileTypes: true });
  const names = entries.filter((entry) => entry.isDirectory()).map((entry) => entry.name);
  return Promise.all(
    names.sort().map(async (name) => {
      const sql = await readFile(`${folder}${name}/migration.sql`, "utf8");
      return {
        name,
        sql,
        checksum: createHash("sha256").update(sql).digest("hex"),
      };
    }),
  );
}

const bookkeepingRows = statement({ there: z.boolean() }, `SELECT to_regclass('_prisma_migrations') IS NOT NULL AS there`);
const appliedRows = statement(
  { name: z.string(), checksum: z.string() },
  `SELECT migration_name AS name, checksum FROM "_prisma_migrations" WHERE finished_at IS NOT NULL AND rolled_back_at IS NULL`,
);
const readOnlyRows = statement({ isReadOnly: z.boolean() }, `SELECT current_setting('transaction_read_only') = 'on' AS "isReadOnly"`);

async function appliedChecksums(database: Pick<Migratable, "rows">): Promise<Map<string, string>> {
  const [table] = await database.rows(bookkeepingRows);
  if (!table?.there) return new Map();
  const rows = await database.rows(appliedRows);
  return new Map(rows.map(({ name, checksum }) => [name, checksum]));
}

/** The migrations of a database compared with those of this code. */
export interface SchemaState {
  /** names of those not applied to the database yet, in order */
  readonly pending: readonly string[];
  /** names of applied ones that this code does not know: the schema is newer than the code */
  readonly unknown: readonly string[];
  /** the database takes no changes: it is a standby, or set to read-only */
  readonly isReadOnly: boolean;
}

/** Throws if a migration was changed after it had been applied. */
export async function schemaState(database: Pick<Migratable, "rows">): Promise<SchemaState> {
  const applied = await appliedChecksums(database);
  const known = await knownMigrations();
  const [row] = await database.rows(readOnlyRows);
  const names = new Set(known.map((migration) => migration.name));
  return {
    pending: pendingOf(known, applied).map((migration) => migration.name),
    unknown: [...applied.keys()].filter((name) => !names.has(name)).sort(),
    isReadOnly: row?.isReadOnly ?? false,
  };
}

const pending = async (database: Migratable): Promise<Migration[]> => pendingOf(await knownMigrations(), await appliedChecksums(database));

function pendingOf(known: readonly Migration[], applied: ReadonlyMap<string, string>): Migration[] {
  for (const migration of known) {
    const checksum = applied.get(migration.name);
    if (checksum !== undefined && checksum !== migration.checksum) {
      throw new Error(
        `The migration ${migration.name} was changed after it had been applied. Restore the file and add a new migration instead.`,
      );
    }
  }
  return known.filter((migration) => !applied.has(migration.name));
}

/** Applies what is pending, each in a transaction of its own. Returns the names applied. */
export async function migrate(database: Migratable): Promise<string[]> {
  // With nothing to apply, a service whose role may not change the schema can start too.
  if ((await pending(database)).length === 0) return [];
  return database.withMigrationLock(async () => {
    await database.script(bookkeeping);
    const todo = await pending(database);
    for (const { name, sql, checksum } of todo) {
      // One transaction for the change and its bookkeeping: a crash leaves both or neither. Names and sums hold no quotes.
      await database.script(
        `${sql}\nINSERT INTO "_prisma_migrations" ("id", "checksum", "migration_name", "finished_at", "applied_steps_count") VALUES ('${randomUUID()}', '${checksum}', '${name}', now(), 1);`,
      );
    }
    return todo.map((migration) => migration.name);
  });
}
