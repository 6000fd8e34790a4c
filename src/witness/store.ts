// The SQL of what a witness said about checkpoints.
import { z } from "zod";
import { type Database, type RowOf, statement } from "../platform/index.ts";

const unwitnessedRows = statement(
  { number: z.int(), takenAt: z.date(), jws: z.string(), lacking: z.int() },
  `SELECT c.number, c.taken_at AS "takenAt", c.jws, count(*) OVER ()::int AS lacking
     FROM checkpoint c WHERE c.taken_at >= $1::text::timestamptz AND c.taken_at <= $2::text::timestamptz
       AND NOT EXISTS (SELECT FROM checkpoint_time_stamp s WHERE s.number = c.number)
     ORDER BY c.number DESC LIMIT 1`,
);
export type Unwitnessed = Omit<RowOf<typeof unwitnessedRows>, "lacking">;

/** The newest checkpoint of a span that no witness has seen, and how many of them there are. */
export async function readUnwitnessed(db: Database, from: Date, to: Date): Promise<{ lacking: number; newest: Unwitnessed | null }> {
  const [row] = await db.rows(unwitnessedRows, [from.toISOString(), to.toISOString()]);
  if (!row) return { lacking: 0, newest: null };
  const { lacking, number, jws, takenAt } = row;
  return { lacking, newest: { number, jws, takenAt: new Date(takenAt) } };
}

const insertedRows = statement(
  { number: z.int() },
  `INSERT INTO checkpoint_time_stamp (number, token, stamped_at, authority, is_believed, received_at)
     VALUES ($1::int, decode($2::text, 'hex'), $3::text::timestamptz, $4::text, $5::bool, $6::text::timestamptz)
     ON CONFLICT (number) DO NOTHING RETURNING number`,
);
const stampRows = statement(
  { number: z.int(), token: z.string(), stampedAt: z.date(), authority: z.string(), isBelieved: z.boolean(), receivedAt: z.date() },
  `SELECT number, encode(token, 'hex') AS token, stamped_at AS "stampedAt", authority, is_believed AS "isBelieved", received_at AS "receivedAt"
     FROM checkpoint_time_stamp WHERE number BETWEEN $1::int AND $2::int ORDER BY number`,
);
const lastStampRows = statement({ at: z.date().nullable() }, "SELECT max(stamped_at) AS at FROM checkpoint_time_stamp");

export type TimeStampRow = Omit<RowOf<typeof stampRows>, "token"> & { readonly token: Buffer };

/** Keeps it; false where another process was first. */
export async function insertTimeStamp(db: Database, row: TimeStampRow): Promise<boolean> {
  const { number, token, stampedAt, authority, isBelieved, receivedAt } = row;
  const inserted = await db.rows(insertedRows, [
    number,
    token.toString("hex"),
    stampedAt.toISOString(),
    authority,
    isBelieved,
    receivedAt.toISOString(),
  ]);
  return inserted.length > 0;
}

/** What the witness said of these checkpoints, by number. */
export async function readTimeStamps(db: Database, from: number, to: number): Promise<TimeStampRow[]> {
  const rows = await db.rows(stampRows, [from, to]);
  return rows.map(({ token, ...row }) => ({
    ...row,
    token: Buffer.from(token, "hex"),
    stampedAt: new Date(row.stampedAt),
    receivedAt: new Date(row.receivedAt),
  }));
}

/** When the newest of all was stamped; null where none ever was. */
export async function readLastStamp(db: Database): Promise<Date | null> {
  const [row] = await db.rows(lastStampRows);
  return row?.at ? new Date(row.at) : null;
}
