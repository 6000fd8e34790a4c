// Changes to stored data that a migration in SQL cannot make, because each leaves a record. Each is made once per store, by this room's own
// code, before anybody is served.
import { appendToFirm, type NewEntry, recording } from "../ledger/index.ts";
import type { ServiceContext, Tx } from "../platform/index.ts";
import { depotOfRecord, recordOf } from "./rules.ts";
import { type Change, holdCarriedOut, mechanicsWithCompetences, setCarriedOut, updateCompetences } from "./store.ts";

const changes: Readonly<Record<Change, (context: ServiceContext, tx: Tx) => Promise<void>>> = { "grant-inspection": grantInspection };

/** Makes the changes that this store has not had yet and returns their names; none before a firm is founded. It locks the firm's row, so of two processes only one makes them. */
export async function carryOutChanges(context: ServiceContext): Promise<readonly Change[]> {
  return recording(context, async (tx) => {
    const behind = await holdCarriedOut(context.db, tx);
    if (behind === null) return [];
    const due = (Object.keys(changes) as Change[]).filter((change) => !behind.includes(change));
    for (const change of due) await changes[change](context, tx);
    if (due.length > 0) await setCarriedOut(tx, [...behind, ...due]);
    return due;
  });
}

/**
 * Since 2026-11-29 a weekly inspection requires the competence `inspection`. Every mechanic who holds any competence when the change is made
 * gets it, because they could inspect until then; a manager takes it away from those who should not have it.
 */
async function grantInspection(context: ServiceContext, tx: Tx): Promise<void> {
  const now = context.clock.now();
  for (const person of await mechanicsWithCompetences(tx)) {
    if (person.competences.includes("inspection")) continue;
    const competences = [...person.competences, "inspection" as const].sort();
    await updateCompetences(tx, person.id, competences);
    const entry: NewEntry = {
      id: context.newId(),
      kind: "person-amended",
      performedAt: now,
      data: { ...recordOf(person, { ...person, competences }), changed: ["competences"], because: "grant-inspection" },
    };
    await appendToFirm(context, tx, { staffId: null, depotId: depotOfRecord(person), recordedAt: now }, [entry]);
  }
}
