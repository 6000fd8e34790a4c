// What acts share in one process: statements that go together, what is read once a revision, and what is under way.
import { batch, type Database, maybeOnesFault } from "../platform/index.ts";
import { type ActToWrite, type Outcome, writeActs } from "./act-store.ts";
import type { MachineFacts } from "./facts.ts";
import { type FactsAsked, FactsReader } from "./store.ts";

export interface ActsState {
  readonly facts: FactsReader;
  /** the facts about a machine, and whether the submission's id is known already; null for an unknown machine */
  readonly read: (asked: FactsAsked) => Promise<MachineFacts | null>;
  /**
   * Writes an act: through the gate (the machine's row, only if nobody wrote since the facts were read) its record, the state history, and
   * the rows of the rooms.
   */
  readonly write: (act: ActToWrite) => Promise<Outcome>;
  /** ids that are being written at this moment */
  readonly inProgress: Set<string>;
  /** machines whose state could not be read when it was last looked at */
  readonly unjudged: Set<string>;
}

const limits = { width: 1, most: 32, mostWaiting: 1024, triedAlone: maybeOnesFault };

export function newActsState(db: Database): ActsState {
  const facts = new FactsReader(db);
  return {
    facts,
    read: batch((asked: readonly FactsAsked[]) => facts.readMany(asked), limits),
    write: batch((acts: readonly ActToWrite[]) => writeActs(db, acts), limits),
    inProgress: new Set(),
    unjudged: new Set(),
  };
}
