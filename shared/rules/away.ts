// A machine is away at another workshop, and comes back. Nobody rides it meanwhile. Pure: a machine's state in, the state after out.
import { afterRepair, openDefect } from "./course.ts";
import { isBefore, notAfter } from "./field-record.ts";
import { groundedNow, replaceDefect } from "./findings.ts";
import type { Away, MachineState, OpenDefect } from "./machine-state.ts";

/** It leaves for another workshop: every clearance ends, and nobody is cleared until it is back. */
export const sentOut = (state: MachineState, away: Away, recordedAt: Date): MachineState => groundedNow({ ...state, away }, recordedAt);

/** What another workshop repaired of an open defect. */
export interface RepairedThere {
  /** of the record of this repair */
  readonly id: string;
  readonly defectId: string;
  readonly partsNamed: number;
}

export type BackRefusal = "not-away" | "defect-closed" | "new-part-needed";

export type Back =
  | { readonly refused: BackRefusal; readonly at: number }
  | {
      readonly refused: null;
      readonly state: MachineState;
      readonly returnedAt: Date;
      readonly repaired: readonly OpenDefect[];
      readonly inspectionDue: boolean;
    };

/**
 * It is back. What they repaired of its open defects waits for a sign-off, by anybody of the firm with the competence: nobody here did the work.
 * For whatever else they did a weekly inspection comes first: nobody here has looked at what they touched. Where they did nothing, none does.
 */
export function takenBack(
  state: MachineState,
  workId: string,
  said: { readonly returnedAt: Date; readonly staffId: string; readonly otherWork: boolean; readonly repaired: readonly RepairedThere[] },
  recordedAt: Date,
): Back {
  const { away } = state;
  if (away === undefined || away.recordId !== workId) return { refused: "not-away", at: -1 };
  const returnedAt = notAfter(isBefore(said.returnedAt, away.since) ? new Date(away.since) : said.returnedAt, recordedAt);
  const { away: _, ...here } = state;
  let next: MachineState = here;
  const repaired: OpenDefect[] = [];
  for (const [at, { id, defectId, partsNamed }] of said.repaired.entries()) {
    const open = openDefect(next, defectId);
    if (!open) return { refused: "defect-closed", at };
    if (open.onlyNewPart && partsNamed === 0) return { refused: "new-part-needed", at };
    const done = { id, staffId: said.staffId, performedAt: returnedAt.toISOString(), reading: null, workshop: away.workshop };
    const defect = afterRepair(open, done);
    repaired.push(defect);
    next = replaceDefect(next, defect);
  }
  return { refused: null, state: backFrom(next, returnedAt, said.otherWork), returnedAt, repaired, inspectionDue: said.otherWork };
}

/** The state without the stay; `inspectionDue`: after work that no open defect stands for. A machine that is new here stays that. */
export function backFrom(state: MachineState, returnedAt: Date, inspectionDue: boolean): MachineState {
  const { away: _, ...here } = state;
  if (!inspectionDue) return here;
  const since = returnedAt.toISOString();
  return {
    ...here,
    firstUseDue: here.firstUseDue ?? "worked-on",
    firstUseSince: here.firstUseSince !== null && here.firstUseSince > since ? here.firstUseSince : since,
  };
}
