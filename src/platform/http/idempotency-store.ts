// What calls that carry an Idempotency-Key answered, for a day.
import type { Database } from "../database/database.ts";

export interface KeptCall {
  readonly callSha256: string;
  /** null while the first is under way, or where nobody knows how it ended */
  readonly status: number | null;
  readonly answer: unknown;
  readonly location: string | null;
}

interface KeyOf {
  readonly staffId: string;
  readonly key: string;
}

/** Begins a call under its key; answers the one that has the key already, else null. */
export async function beginCall(db: Database, { staffId, key }: KeyOf, callSha256: string, now: Date): Promise<KeptCall | null> {
  await db.rows("DELETE FROM idempotency_key WHERE begun_at <= $1::text::timestamptz - interval '1 day' RETURNING key", [
    now.toISOString(),
  ]);
  const begun = await db.rows(
    `INSERT INTO idempotency_key (staff_id, key, call_sha256, begun_at) VALUES ($1::text::uuid, $2::text, $3::text, $4::text::timestamptz)
     ON CONFLICT DO NOTHING RETURNING key`,
    [staffId, key, callSha256, now.toISOString()],
  );
  if (begun.length > 0) return null;
  const [kept] = await db.rows<KeptCall>(
    `SELECT call_sha256 AS "callSha256", status, answer, location FROM idempotency_key WHERE staff_id = $1::text::uuid AND key = $2::text`,
    [staffId, key],
  );
  // Cleared away between the two: as if the first were under way, and the next repetition begins it.
  return kept ?? { callSha256, status: null, answer: null, location: null };
}

/** Keeps what the call answered. */
export async function keepAnswer(db: Database, { staffId, key }: KeyOf, kept: Omit<KeptCall, "callSha256">): Promise<void> {
  await db.rows(
    `UPDATE idempotency_key SET status = $3::int, answer = $4::text::jsonb, location = $5::text
     WHERE staff_id = $1::text::uuid AND key = $2::text RETURNING key`,
    [staffId, key, kept.status, JSON.stringify(kept.answer), kept.location],
  );
}

/** The call was refused and nothing was stored: its key is free again. */
export async function freeKey(db: Database, { staffId, key }: KeyOf): Promise<void> {
  await db.rows("DELETE FROM idempotency_key WHERE staff_id = $1::text::uuid AND key = $2::text AND status IS NULL RETURNING key", [
    staffId,
    key,
  ]);
}
