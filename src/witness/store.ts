// The SQL of what a witness said about checkpoints.
import type { Database } from "../platform/index.ts";

export interface Unwitnessed {
  readonly number: number;
  readonly takenAt: Date;
  readonly jws: string;
}

/** The newest checkpoint of a span that no witness has seen, and how many of them there are. */
export async function readUnwitnessed(db: Database, from: Date, to: Date): Promise<{ lacking: number; newest: Unwitnessed | null }> {
  const [row] = await db.rows<Unwitnessed & { lacking: number }>(
    `SELECT c.number, c.taken_at AS "takenAt", c.jws, count(*) OVER ()::int AS lacking
     FROM checkpoint c WHERE c.taken_at >= $1::text::timestamptz AND c.taken_at <= $2::text::timestamptz
       AND NOT EXISTS (SELECT FROM checkpoint_time_stamp s WHERE s.number = c.number)
     ORDER BY c.number DESC LIMIT 1`,
    [from.toISOString(), to.toISOString()],
  );
  if (!row) return { lacking: 0, newest: null };
  const { lacking, number, jws, takenAt } = row;
  return { lacking, newest: { number, jws, takenAt: new Date(takenAt) } };
}

export interface TimeStampRow {
  readonly number: number;
  readonly token: Buffer;
  readonly stampedAt: Date;
  readonly authority: string;
  readonly isBelieved: boolean;
  readonly receivedAt: Date;
}

/** Keeps it; false where another process was first. */
export async function insertTimeStamp(db: Database, row: TimeStampRow): Promise<boolean> {
  const { number, token, stampedAt, authority, isBelieved, receivedAt } = row;
  const inserted = await db.rows(
    `INSERT INTO checkpoint_time_stamp (number, token, stamped_at, authority, is_believed, received_at)
     VALUES ($1::int, decode($2::text, 'hex'), $3::text::timestamptz, $4::text, $5::bool, $6::text::timestamptz)
     ON CONFLICT (number) DO NOTHING RETURNING number`,
    [number, token.toString("hex"), stampedAt.toISOString(), authority, isBelieved, receivedAt.toISOString()],
  );
  return inserted.length > 0;
}

/** What the witness said of these checkpoints, by number. */
export async function readTimeStamps(db: Database, from: number, to: number): Promise<TimeStampRow[]> {
  const rows = await db.rows<Omit<TimeStampRow, "token"> & { token: string }>(
    `SELECT number, encode(token, 'hex') AS token, stamped_at AS "stampedAt", authority, is_believed AS "isBelieved", received_at AS "receivedAt"
     FROM checkpoint_time_stamp WHERE number BETWEEN $1::int AND $2::int ORDER BY number`,
    [from, to],
  );
  return rows.map(({ token, ...row }) => ({
    ...row,
    token: Buffer.from(token, "hex"),
    stampedAt: new Date(row.stampedAt),
    receivedAt: new Date(row.receivedAt),
  }));
}

/** When the newest of all was stamped; null where none ever was. */
export async function readLastStamp(db: Database): Promise<Date | null> {
  const [row] = await db.rows<{ at: Date | null }>("SELECT max(stamped_at) AS at FROM checkpoint_time_stamp");
  return row?.at ? new Date(row.at) : null;
}
