// A minor defect whose part an inspection left as it should be is closed by it, so that nobody is grounded the next morning for what
// was put right. It is closed as by hand: signed off where work was entered now or recorded before, else as not found.
import { partsOf } from "../catalogue/parts.ts";
import type { Item } from "../catalogue/types.ts";
import type { WeeklyAnswer } from "../contracts/checks.ts";
import { afterRepair, type Closed, type Closer, isFirstLook, notFound, signOff } from "./course.ts";
import { replaceDefect } from "./findings.ts";
import { grounds, type MachineState, type OpenDefect } from "./machine-state.ts";
import { type PartSeen, partSeen, type RecordedRepair } from "./put-right.ts";
import { needsSecondNow } from "./second-person.ts";
import type { DepotRules } from "./standing.ts";
import type { ItemVerdict } from "./verdict.ts";

/** Who signs an inspection, and who answered each of its items: whoever measured did the work there too. */
export interface InspectedBy {
  readonly signer: Closer;
  readonly answeredBy: (itemId: string) => string;
}

export interface Settled extends Omit<Extract<Closed, { readonly refused: null }>, "refused"> {
  /** the repair that was entered in the inspection; null where one was recorded before, or nothing was done */
  readonly repair: RecordedRepair | null;
}

interface Inspection {
  readonly sheet: ReadonlyMap<string, Item>;
  /** items where nothing was found */
  readonly well: ReadonlySet<string>;
  /** advisories of which it says that they are gone: no other is closed by it */
  readonly gone: ReadonlySet<string>;
  readonly answers: readonly WeeklyAnswer[];
  readonly verdicts: readonly ItemVerdict[];
  readonly performedAt: Date;
  readonly recordedAt: Date;
  readonly by: InspectedBy;
  readonly depotRules: DepotRules;
  readonly newId: () => string;
}

/** The minor defects of a machine that an inspection closes, each with the state after it: the last one has the state after all. */
export function settleMinors(before: MachineState, inspection: Inspection): Settled[] {
  const settled: Settled[] = [];
  for (const defect of before.defects) {
    const one = settleMinor(settled.at(-1)?.state ?? before, defect, inspection);
    if (one !== null) settled.push(one);
  }
  return settled;
}

/** What an inspection says of the part of an advisory that no item of its sheet looks at, where it says that it is gone. */
const besideTheSheet = (defect: OpenDefect, { sheet, gone }: Inspection): PartSeen | null =>
  gone.has(defect.id) && defect.quantity === null && !partsOf(defect).some((id) => sheet.has(id)) ? { work: null, reading: null } : null;

/** The closing of a minor defect, or of an advisory that is gone, by an inspection; null where it stays open. */
function settleMinor(state: MachineState, defect: OpenDefect, inspection: Inspection): Settled | null {
  const { performedAt, recordedAt, by, depotRules, newId } = inspection;
  const seenSince = defect.lastSeenAt > performedAt.toISOString();
  const repairedSince = defect.repair !== null && defect.repair.performedAt > performedAt.toISOString();
  if (defect.category === "advisory" && !inspection.gone.has(defect.id)) return null;
  if (grounds(defect.category) || seenSince || repairedSince || needsSecondNow(defect, depotRules)) return null;
  const seen =
    partSeen(defect, inspection.sheet, inspection.well, inspection.answers, inspection.verdicts) ?? besideTheSheet(defect, inspection);
  if (seen === null) return null;
  const repair: RecordedRepair | null = seen.work && {
    done: {
      ...{ id: newId(), staffId: by.answeredBy(seen.work.itemId), performedAt: performedAt.toISOString() },
      reading: seen.reading,
    },
    actions: seen.work.actions,
  };
  if (defect.onlyNewPart && defect.repair === null && repair?.actions.includes("replaced") !== true) return null;
  const closing = { recordId: newId(), closer: by.signer, reading: seen.reading, recordedAt };
  // What lies within its limits was judged at its item already.
  const within = () => true;
  if (repair === null && defect.repair === null) {
    const closed = notFound(state, defect.id, closing, within, depotRules);
    return closed.refused !== null || isFirstLook(closed) ? null : { ...closed, repair };
  }
  const worked = repair === null ? state : replaceDefect(state, afterRepair(defect, repair.done));
  const closed = signOff(worked, defect.id, closing, within, depotRules);
  return closed.refused === null ? { ...closed, repair } : null;
}
