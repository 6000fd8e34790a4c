// What acts share in one process: statements that are sent together, what is read once for each revision, and what is under way.
import { batch, type Database } from "../platform/index.ts";
import type { DepotMove, RowsOf } from "./act-rows.ts";
import { type ActToWrite, type Outcome, writeActs } from "./act-store.ts";
import { actsAtOnce, FactsReader } from "./store.ts";

export interface ActsState {
  readonly facts: FactsReader;
  /**
   * Writes an act: through the gate (the machine's row, only if nobody wrote since the facts were read) its record, the state history, and
   * the rows of the rooms.
   */
  readonly write: (act: ActToWrite) => Promise<Outcome>;
  /** the rows of other rooms that go along with a machine to another depot */
  readonly goAlong: RowsOf<DepotMove>;
  /** ids that are being written at this moment */
  readonly inProgress: Set<string>;
  /** machines whose state could not be read when it was last looked at */
  readonly unjudged: Set<string>;
}

export const newActsState = (db: Database, goAlong: RowsOf<DepotMove>): ActsState => ({
  facts: new FactsReader(db),
  write: batch((acts: readonly ActToWrite[]) => writeActs(db, acts), actsAtOnce),
  goAlong,
  inProgress: new Set(),
  unjudged: new Set(),
});
