// What is kept of a machine, made anew from its records: its state, and its history where a past moment shows another than the records.
import { groundingCount } from "../../shared/rules/machine-state.ts";
import type { Database } from "../platform/index.ts";
import { replaceHistory, replaceState } from "./mend-store.ts";
import { rebuildState } from "./rebuild-state.ts";

export interface Mended {
  /** what differed before, a sentence each */
  readonly differences: readonly string[];
  readonly state: boolean;
  /** how many places of the history were written anew */
  readonly history: number;
  /** why places of the history were left as they are; null where none were */
  readonly historyLeft: string | null;
}

// Another round is needed only where somebody else recorded something meanwhile.
const mostRounds = 24;

/**
 * Rebuilds a machine and writes what differs from its records. Nothing of the records is touched, and the running service may go on: the
 * state goes through the same gate as an act. Null for an unknown machine; throws where its records do not follow on each other.
 */
export async function mendState(db: Database, machineId: string): Promise<Mended | null> {
  for (let round = 0; round < mostRounds; round += 1) {
    const rebuilt = await rebuildState(db, machineId);
    if (rebuilt === null) return null;
    const { differences, unlike, states, recordCount } = rebuilt;
    const state = states.get(recordCount);
    if (state === undefined) throw new Error("the records do not say how the machine stands");
    if (unlike.now && !(await replaceState(db, { machineId, recordCount, state, openGrounding: groundingCount(state) }))) continue;
    const places = unlike.history.flatMap((position) => {
      const then = states.get(position);
      return then ? [{ position, state: then }] : [];
    });
    const historyLeft = places.length === 0 ? null : await replaceHistory(db, machineId, places);
    return { differences, state: unlike.now, history: historyLeft === null ? places.length : 0, historyLeft };
  }
  throw new Error("others write to this machine without a pause");
}
