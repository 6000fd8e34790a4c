// The proof that what is stored twice agrees: each machine's state, its history and its defects are compared with the records.
import type { Database } from "../platform/index.ts";
import { type Folded, type FoldedDefect, firstRemembered, foldMachine, type KeptState } from "./fold.ts";
import { sameSubmission as same } from "./rules.ts";
import { type KeptOfMachine, machineIdsAfter, readKeptOfMachine } from "./store.ts";
import { isReadable } from "./stored-state.ts";

export interface Rebuilt extends Folded {
  readonly machineId: string;
  /** how many records it was rebuilt from */
  readonly recordCount: number;
  /** one sentence for each place where what is kept differs from the records; none where all agree */
  readonly differences: readonly string[];
  /** where the states that are kept differ from the records */
  readonly unlike: { readonly now: boolean; readonly history: readonly number[] };
}

/**
 * Rebuilds a machine from its records and compares; where some were forgotten, from the first remembered state on. Null for an unknown
 * machine; throws where its records do not follow on each other.
 */
export async function rebuildState(db: Database, machineId: string): Promise<Rebuilt | null> {
  const kept = await readKeptOfMachine(db, machineId);
  if (kept === null) return null;
  const readable = kept.history.filter((one): one is KeptState => isReadable(one.state));
  const folded = foldMachine(kept.entries, firstRemembered(kept.entries, readable));
  return {
    machineId,
    recordCount: kept.entries.length,
    ...folded,
    differences: differencesOf(kept, folded),
    unlike: unlikeOf(kept, folded),
  };
}

/** Compares every machine of the store, a difference at a time. */
export async function* compareAll(db: Database): AsyncGenerator<{ readonly machineId: string; readonly differences: readonly string[] }> {
  let after: string | null = null;
  for (;;) {
    const ids = await machineIdsAfter(db, after, 500);
    for (const machineId of ids) {
      const rebuilt = await rebuildState(db, machineId);
      if (rebuilt) yield { machineId, differences: rebuilt.differences };
    }
    after = ids.at(-1) ?? null;
    if (after === null) return;
  }
}

const unlikeOf = ({ state, history, entries }: KeptOfMachine, { states, from }: Folded): Rebuilt["unlike"] => ({
  now: !same(state, states.get(entries.length)),
  history: history.filter((one) => one.position >= from && !same(one.state, states.get(one.position))).map(({ position }) => position),
});

function differencesOf(kept: KeptOfMachine, folded: Folded): string[] {
  const found: string[] = [];
  kept.entries.forEach(({ position }, index) => {
    if (position !== index + 1) found.push(`record ${index + 1} of the chain has the place ${position}`);
  });
  if (kept.recordCount !== kept.entries.length) found.push(`${kept.entries.length} records, and a count of ${kept.recordCount}`);
  const told = kept.history.at(-1)?.position;
  if (told !== kept.entries.length) found.push(`the history ends at ${told}, the records at ${kept.entries.length}`);
  for (const { position, state } of kept.history) {
    if (position >= folded.from && !same(state, folded.states.get(position)))
      found.push(`the state in the history at ${position} ${partsThatDiffer(state, folded.states.get(position))}`);
  }
  const now = folded.states.get(kept.entries.length);
  if (!same(kept.state, now)) found.push(`the state now ${partsThatDiffer(kept.state, now)}`);

  // What was closed by then left no trace in the state that the fold began with.
  const since = folded.states.get(folded.from)?.recordedAt ?? "";
  const isBefore = ({ id, closedAt }: FoldedDefect): boolean => !folded.defects.has(id) && closedAt !== null && closedAt <= since;
  const comparable = kept.defects.filter((defect) => folded.from === 1 || !isBefore(defect));
  const byId = new Map(comparable.map((defect) => [defect.id, defect]));
  for (const id of new Set([...byId.keys(), ...folded.defects.keys()])) {
    const one = byId.get(id);
    const other = folded.defects.get(id);
    if (!same(one, other)) found.push(`defect ${id} ${partsThatDiffer(one, other)}`);
  }
  return found;
}

function partsThatDiffer(one: unknown, other: object | undefined): string {
  if (one === undefined || other === undefined) return one === undefined ? "is only in the records" : "is not in the records";
  if (typeof one !== "object" || one === null) return "is nothing that could be compared";
  const parts = [...new Set([...Object.keys(one), ...Object.keys(other)])] as (keyof FoldedDefect)[];
  const differing = parts.filter((part) => !same((one as FoldedDefect)[part], (other as FoldedDefect)[part]));
  return `differs from the records in ${differing.join(", ")}`;
}
