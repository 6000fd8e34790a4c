// What old records said goes when its time is over. Their envelopes, their hashes and their places in chain and tree stay, so that
// everything verifies as before; and a record says what went.
import { classOfKind, forgettableBefore, type RecordClassName } from "../../shared/rules/retention.ts";
import type { AppContext } from "../acts/index.ts";
import { appendToFirm, recording, takeCheckpoint } from "../ledger/index.ts";
import { countOver, findDue, forgetWords, holdFirm, readKeeping } from "./store.ts";

// One transaction takes so many, so that it stays short whatever has come together.
const mostAtOnce = 20_000;

/** Forgets everything that is due and that no hold covers; how many records it were. */
export async function forgetOld(context: AppContext, { most = mostAtOnce } = {}): Promise<number> {
  const ask = context.db.rows;
  const keeping = await readKeeping(ask);
  if (!keeping) return 0;
  const { before } = forgettableBefore(context.clock.now(), keeping.zones, keeping.keepMonths);
  if ((await countOver(ask, before)).every(({ due }) => due === 0)) return 0;
  // Signed as it stands, before anything goes: whoever kept a copy of what goes can prove it by the hash that stays.
  await takeCheckpoint(context);
  let all = 0;
  for (;;) {
    const gone = await forgetSome(context, most);
    all += gone;
    if (gone < most) return all;
  }
}

/** One transaction: the entry that says what goes, and its going. */
function forgetSome(context: AppContext, most: number): Promise<number> {
  return recording(context, async (tx) => {
    const ask = context.db.rowsIn(tx);
    // Before looking: a hold that was placed meanwhile counts, and so does a policy that keeps for longer.
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
