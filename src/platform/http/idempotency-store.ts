// The answers to calls with an Idempotency-Key, kept for a day.
import { z } from "zod";
import type { Database } from "../database/database.ts";
import { command, type RowOf, statement } from "../database/statement.ts";

const clearsOld = command("DELETE FROM idempotency_key WHERE begun_at <= $1::text::timestamptz - interval '1 day' RETURNING key");
const begunRows = statement(
  { key: z.string() },
  `INSERT INTO idempotency_key (staff_id, key, call_sha256, begun_at) VALUES ($1::text::uuid, $2::text, $3::text, $4::text::timestamptz)
     ON CONFLICT DO NOTHING RETURNING key`,
);
const keptRows = statement(
  {
    callSha256: z.string(),
    /** null while the first call is under way, or if it is not known how that ended */
    status: z.int().nullable(),
    answer: z.unknown(),
    location: z.string().nullable(),
  },
  `SELECT call_sha256 AS "callSha256", status, answer, location FROM idempotency_key WHERE staff_id = $1::text::uuid AND key = $2::text`,
);
const keepsAnswer = command(
  `UPDATE idempotency_key SET status = $3::int, answer = $4::text::jsonb, location = $5::text
     WHERE staff_id = $1::text::uuid AND key = $2::text RETURNING key`,
);
const freesKey = command("DELETE FROM idempotency_key WHERE staff_id = $1::text::uuid AND key = $2::text AND status IS NULL RETURNING key");

export type KeptCall = RowOf<typeof keptRows>;

interface KeyOf {
  readonly staffId: string;
  readonly key: string;
}

/** Begins a call under its key; answers the one that has the key already, else null. */
export async function beginCall(db: Database, { staffId, key }: KeyOf, callSha256: string, now: Date): Promise<KeptCall | null> {
  await db.rows(clearsOld, [now.toISOString()]);
  const begun = await db.rows(begunRows, [staffId, key, callSha256, now.toISOString()]);
  if (begun.length > 0) return null;
  const [kept] = await db.rows(keptRows, [staffId, key]);
  // The first call's row was deleted between the two statements: answered as if it were under way; the next repetition begins it.
  return kept ?? { callSha256, status: null, answer: null, location: null };
}

/** Keeps what the call answered. */
export async function keepAnswer(db: Database, { staffId, key }: KeyOf, kept: Omit<KeptCall, "callSha256">): Promise<void> {
  await db.rows(keepsAnswer, [staffId, key, kept.status, JSON.stringify(kept.answer), kept.location]);
}

/** The call was refused and nothing was stored: its key is free again. */
export async function freeKey(db: Database, { staffId, key }: KeyOf): Promise<void> {
  await db.rows(freesKey, [staffId, key]);
}
