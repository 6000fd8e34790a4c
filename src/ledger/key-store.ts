// The SQL of the keys that this database knows.
import type { Ask } from "../platform/index.ts";

/** What the key `vouchedBy` states: that the key `kid` is one of ours. */
export interface Voucher {
  readonly kid: string;
  readonly vouchedBy: string;
  readonly jws: string;
}

/** Held by one start at a time, until its transaction ends. */
export const holdKeys = (ask: Ask): Promise<unknown> => ask("SELECT id FROM firm FOR UPDATE");

/** Those about the newest key first: a key is as old as the first word about it. */
export const readVouchers = (ask: Ask): Promise<Voucher[]> =>
  ask<Voucher>(`SELECT kid, vouched_by AS "vouchedBy", jws FROM signing_key
    ORDER BY min(added_at) OVER (PARTITION BY kid) DESC, kid, vouched_by`);

/** The key of the newest checkpoint. */
export async function lastSigner(ask: Ask): Promise<string | null> {
  const [row] = await ask<{ kid: string }>("SELECT kid FROM checkpoint ORDER BY number DESC LIMIT 1");
  return row?.kid ?? null;
}

/** There already is fine. */
export const insertVoucher = (ask: Ask, { kid, vouchedBy, jws }: Voucher, addedAt: Date): Promise<unknown> =>
  ask("INSERT INTO signing_key (kid, vouched_by, jws, added_at) VALUES ($1, $2, $3, $4::text::timestamptz) ON CONFLICT DO NOTHING", [
    ...[kid, vouchedBy, jws],
    addedAt.toISOString(),
  ]);
