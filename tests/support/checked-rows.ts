// What the database answers beside what its statements declare: the service takes the one for the other, and here every row is compared.
import { isDeepStrictEqual } from "node:util";
import { z } from "zod";
import type { Ask, Database, Statement } from "../../src/platform/index.ts";

/** What was answered otherwise than declared, by statement, until somebody looks. */
const found = new Map<string, string>();

/** What was found since somebody looked last: the beginning of a statement, and what is the matter with its row. */
export function takeMismatches(): string[] {
  const mismatches = [...found.values()];
  found.clear();
  return mismatches;
}

/** The text of each statement that was answered in this process. */
const answered = new Set<string>();
export const answeredStatements: ReadonlySet<string> = answered;

/** A database for tests, which may also ask in plain text: what that answers is what they say it does. */
export interface TestDatabase extends Database {
  readonly rows: <Row>(asked: Statement<Row> | string, parameters?: readonly unknown[]) => Promise<Row[]>;
}

const asStatement = <Row>(asked: Statement<Row> | string): Statement<Row> =>
  typeof asked === "string" ? { sql: asked, columns: null } : asked;

export const askedInText = (db: Database): TestDatabase => ({
  ...db,
  rows: (asked, parameters) => db.rows(asStatement(asked), parameters),
});

/** The database, each of whose rows is compared. It answers as it did: who is told of a mismatch is the test, at its end. */
export function checkedRows(db: Database): TestDatabase {
  const checking =
    (ask: Ask): Ask =>
    async (asked, parameters) =>
      seen(asked, await ask(asked, parameters));
  return askedInText({
    ...db,
    rows: checking(db.rows),
    rowsIn: (tx) => checking(db.rowsIn(tx)),
    stream: async function* (asked, parameters, batchSize) {
      for await (const batch of db.stream(asked, parameters, batchSize)) yield seen(asked, batch);
      answered.add(asked.sql);
    },
  });
}

function seen<Row>(asked: Statement<Row>, rows: Row[]): Row[] {
  answered.add(asked.sql);
  return compared(asked, rows);
}

function compared<Row>(asked: Statement<Row>, rows: Row[]): Row[] {
  if (asked.columns === null || found.has(asked.sql)) return rows;
  const declared = z.strictObject(asked.columns);
  for (const row of rows) {
    const wrong = mismatchOf(declared, row);
    if (wrong === null) continue;
    found.set(asked.sql, `${asked.sql.trim().replace(/\s+/g, " ").slice(0, 120)}\n${wrong}`);
    break;
  }
  return rows;
}

/** Why the row is not what is declared; null where it is. */
export function mismatchOf(declared: z.ZodObject, row: unknown): string | null {
  const { success, data, error } = declared.safeParse(row);
  if (!success) return z.prettifyError(error);
  // A default that was filled in or a member that was passed over would be one that the service goes without.
  if (!isDeepStrictEqual(data, row)) return `it reads as ${JSON.stringify(data)} and is ${JSON.stringify(row)}`;
  const pending = Object.keys(declared.shape).filter((column) => !(column in Object(row)));
  return pending.length > 0 ? `columns that are not there: ${pending.join(", ")}` : null;
}
