// Changes of what is stored that a migration in SQL cannot make, since each is recorded: made once in a store, through the door of this room,
// before anybody is served.
import { appendToFirm, type NewEntry, recording } from "../ledger/index.ts";
import type { ServiceContext, Tx } from "../platform/index.ts";
import { depotOfRecord, recordOf } from "./rules.ts";
import { type Change, holdCarriedOut, mechanicsWithCompetences, setCarriedOut, updateCompetences } from "./store.ts";

const changes: Readonly<Record<Change, (context: ServiceContext, tx: Tx) => Promise<void>>> = { "grant-inspection": grantInspection };

/** Makes what this store has not behind it yet; the names of what was made. Nothing where there is no firm. Of two processes one does it. */
export async function carryOutChanges(context: ServiceContext): Promise<readonly Change[]> {
  return recording(context, async (tx) => {
    const behind = await holdCarriedOut(tx);
    if (behind === null) return [];
    const due = (Object.keys(changes) as Change[]).filter((change) => !behind.includes(change));
    for (const change of due) await changes[change](context, tx);
    if (due.length > 0) await setCarriedOut(tx, [...behind, ...due]);
    return due;
  });
}

/**
 * A weekly inspection takes the competence `inspection` since 2026-11-29. Every mechanic who holds any competence on the day of the change
 * gets it, as they inspected until then; a manager takes it away where that is wrong.
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
