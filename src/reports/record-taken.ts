// Taking a report is recorded. The record goes into the firm's chain, not the machine's: reading changes nothing about a machine, so it must
// not wait for the machine's writers, lengthen its chain or touch its state.
import type { AppContext, Moment } from "../acts/index.ts";
import { appendToFirm, recording } from "../ledger/index.ts";
import type { Actor, Tx } from "../platform/index.ts";

export interface Taken {
  /** which report; stored records have always called this member `paper` */
  readonly paper:
    | "defect-report"
    | "fall-report"
    | "daily-check-report"
    | "weekly-inspection-report"
    | "campaign-report"
    | "machine-notice"
    | "machine-roadworthiness"
    | "defect-summary"
    | "fleet-roadworthiness"
    | "fleet-review"
    | "month-records"
    | "audit-pack";
  /** null: all depots in the view of whoever takes it */
  readonly depotId: string | null;
  readonly machineId?: string;
  readonly defectId?: string;
  readonly fallId?: string;
  readonly checkId?: string;
  readonly inspectionId?: string;
  readonly campaignId?: string;
  readonly from?: string;
  readonly to?: string;
  /** only what arrived since, of these kinds */
  readonly since?: string;
  readonly kinds?: readonly string[];
  readonly on?: string;
  readonly month?: string;
  readonly packId?: string;
  /** with the photos that its records name */
  readonly withPhotos?: boolean;
  /** the past moment that was asked about */
  readonly at?: string;
}

/** The moment asked about, as the record stores it. */
export const asAt = (at: Moment): Pick<Taken, "at"> => (at === null ? {} : { at: at.toISOString() });

/** Records who took which report, about what and which days. */
export async function recordTaken(context: AppContext, actor: Actor, taken: Taken): Promise<void> {
  await recording(context, (tx) => recordTakenIn(context, tx, actor, taken));
}

/** The same within the transaction that does what is recorded. */
export async function recordTakenIn(context: AppContext, tx: Tx, actor: Actor, { depotId, ...taken }: Taken): Promise<void> {
  const recordedAt = context.clock.now();
  await appendToFirm(context, tx, { staffId: actor.staffId, depotId, recordedAt }, [
    { id: context.newId(), kind: "report-taken", performedAt: recordedAt, data: { ...taken, depotId } },
  ]);
}
