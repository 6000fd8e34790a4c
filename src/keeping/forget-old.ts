// Forgets what old records said, once the time for which they are kept is over. Their envelopes, hashes and places in chain and tree stay, so
// that everything can still be verified; and a record says what was forgotten.
import { classOfKind, forgettableBefore, type RecordClassName } from "../../shared/rules/retention.ts";
import type { AppContext } from "../acts/index.ts";
import { holdFirm } from "../keys/index.ts";
import { appendToFirm, recording, takeCheckpoint } from "../ledger/index.ts";
import { countOver, findDue, forgetWords, readKeeping } from "./store.ts";

// The most records in one transaction, so that it stays short however many are due.
const mostAtOnce = 20_000;

/** Forgets everything that is due and that no hold covers. Returns how many records it forgot. */
export async function forgetOld(context: AppContext, { most = mostAtOnce } = {}): Promise<number> {
  const ask = context.db.rows;
  const keeping = await readKeeping(ask);
  if (!keeping) return 0;
  const { before } = forgettableBefore(context.clock.now(), keeping.zones, keeping.keepMonths);
  if ((await countOver(ask, before)).every(({ due }) => due === 0)) return 0;
  // A checkpoint is signed before anything is forgotten: so whoever kept a copy can prove it by the hash that stays.
  await takeCheckpoint(context);
  let all = 0;
  for (;;) {
    const gone = await forgetSome(context, most);
    all += gone;
    if (gone < most) return all;
  }
}

/** Writes the entry that says what is forgotten and forgets it, in one transaction. */
function forgetSome(context: AppContext, most: number): Promise<number> {
  return recording(context, async (tx) => {
    const ask = context.db.rowsIn(tx);
    // Locked before reading, so that a hold placed meanwhile counts, and so does a policy that keeps records longer.
    await holdFirm(ask);
    const keeping = await readKeeping(ask);
    if (!keeping) return 0;
    const now = context.clock.now();
    const { untilDay, before } = forgettableBefore(now, keeping.zones, keeping.keepMonths);
    const due = await findDue(ask, before, most);
    if (due.length === 0) return 0;
    const classes: Partial<Record<RecordClassName, number>> = {};
    for (const { kind } of due) {
      const name = classOfKind(kind);
      if (name) classes[name] = (classes[name] ?? 0) + 1;
    }
    const id = context.newId();
    const data = { untilDay, before: before.toISOString(), keepMonths: keeping.keepMonths, records: due.length, classes };
    await appendToFirm(context, tx, { staffId: null, depotId: null, recordedAt: now }, [
      { id, kind: "records-forgotten", performedAt: now, data },
    ]);
    const gone = await forgetWords(
      ask,
      due.map((record) => record.id),
      id,
    );
    if (gone !== due.length) throw new Error(`${due.length} records were to be forgotten, and ${gone} were there`);
    return gone;
  });
}
