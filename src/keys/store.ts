// The SQL of the keys that this database knows.
import { z } from "zod";
import { type Ask, command, type RowOf, statement } from "../platform/index.ts";

const holdsFirm = command("SELECT id FROM firm FOR UPDATE");

/** Locks the firm's row until the transaction ends: whoever else wants that lock waits. */
export async function holdFirm(ask: Ask): Promise<void> {
  await ask(holdsFirm);
}

const voucherRows = statement(
  { kid: z.string(), vouchedBy: z.string(), jws: z.string() },
  `SELECT kid, vouched_by AS "vouchedBy", jws FROM signing_key
   ORDER BY min(added_at) OVER (PARTITION BY kid) DESC, kid, vouched_by`,
);
/** What the key `vouchedBy` states: that the key `kid` is one of ours. */
export type Voucher = RowOf<typeof voucherRows>;

/** All vouchers, those about the newest key first: a key is as old as the first voucher about it. */
export const readVouchers = (ask: Ask): Promise<Voucher[]> => ask(voucherRows);

const signerRows = statement({ kid: z.string() }, "SELECT kid FROM checkpoint ORDER BY number DESC LIMIT 1");

/** The key of the newest checkpoint. */
export const lastSigner = async (ask: Ask): Promise<string | null> => (await ask(signerRows))[0]?.kid ?? null;

const insertsVoucher = command(
  "INSERT INTO signing_key (kid, vouched_by, jws, added_at) VALUES ($1, $2, $3, $4::text::timestamptz) ON CONFLICT DO NOTHING",
);

/** Stores a voucher; does nothing if it is there already. */
export const insertVoucher = (ask: Ask, { kid, vouchedBy, jws }: Voucher, addedAt: Date): Promise<unknown> =>
  ask(insertsVoucher, [kid, vouchedBy, jws, addedAt.toISOString()]);
