// Reading daily checks and weekly inspections: the lists, and single ones with their receipts. Riders see their own.

import type { z } from "zod";
import type { checkListQuerySchema, ListedDailyCheck } from "../../shared/contracts/checks.ts";
import { clearanceSchema } from "../../shared/contracts/clearance.ts";
import type { ListedWeeklyInspection } from "../../shared/contracts/inspections-read.ts";
import type { SecretBeside } from "../../shared/contracts/people.ts";
import { readAs } from "../../shared/records/index.ts";
import { onlyRides } from "../../shared/rules/roles.ts";
import type { AppContext, EntryAsKept, KnownEntry } from "../acts/index.ts";
import { recordForgotten } from "../ledger/index.ts";
import { besideAct, secretsSetBefore } from "../people/index.ts";
import { type Actor, type Asking, cursorFrom, inView, momentAndIdSchema, objectOf, pageFrom, type View } from "../platform/index.ts";
import { readBeforeCheck } from "./before-check-store.ts";
import { findDailyCheck, findDailyChecks, findWeeklyInspection, findWeeklyInspections } from "./store.ts";
import { checkReceiptInWords, dailyCheckReceipt } from "./submit-daily-check.ts";
import { inspectionReceiptInWords, weeklyInspectionReceipt } from "./submit-weekly-inspection.ts";

type ListQuery = z.infer<typeof checkListQuerySchema>;

type CheckKind = "daily-check" | "weekly-inspection";

interface WithEntry {
  readonly id: string;
  readonly performedAt: Date;
  readonly entry: EntryAsKept & { readonly forgottenBy: string | null };
}

/** The entry of a check; null where what it said was forgotten. */
function entryOf<K extends CheckKind>(kind: K, { entry }: WithEntry): KnownEntry<K> | null {
  const told = readAs([kind], entry);
  return told === null ? null : { ...entry, ...told };
}

function entryNotForgotten<K extends CheckKind>(kind: K, row: WithEntry): KnownEntry<K> {
  const entry = entryOf(kind, row);
  if (entry === null) throw recordForgotten();
  return entry;
}

/** What is left of a check whose answers were forgotten. */
const leftOf = (row: WithEntry & { readonly recordedAt: Date; readonly flags: string[] }) => ({
  performedAt: row.performedAt.toISOString(),
  recordedAt: row.recordedAt.toISOString(),
  flags: row.flags,
  ...{ sheetVersion: null, sheetSha256: null, answers: [], defectIds: [], forgottenBy: row.entry.forgottenBy },
});

const placeInList = (row: WithEntry): string[] => [row.performedAt.toISOString(), row.id];

/** Riders may still read their own checks after they or the machine have moved to another depot. */
export const ownInView: Asking<AppContext, View> = {
  ...inView,
  ask: (context, actor, asked) =>
    onlyRides(actor) && asked.depotId === undefined ? { depotIds: null, asked: undefined } : inView.ask(context, actor, asked),
};

const filterOf = (actor: Actor, { depotIds }: View, query: ListQuery) => ({
  depotIds,
  machineId: query.machineId,
  staffId: onlyRides(actor) ? actor.staffId : query.staffId,
  from: query.from,
  to: query.to,
});

export async function listDailyChecks(context: AppContext, actor: Actor, view: View, query: ListQuery) {
  const rows = await findDailyChecks(context.db, filterOf(actor, view, query), cursorFrom(query.cursor, momentAndIdSchema), query.limit);
  return pageFrom(rows, query.limit, placeInList, listedCheck);
}

const { decision } = clearanceSchema.shape;
export type CheckRow = NonNullable<Awaited<ReturnType<typeof findDailyCheck>>>;
function listedCheck(row: CheckRow): ListedDailyCheck {
  const entry = entryOf("daily-check", row);
  if (entry !== null) return { ...dailyCheckReceipt(entry).check, forgottenBy: null };
  const { id, machineId, staffId, durationSeconds, odometerKm } = row;
  return {
    ...{ id, machineId, staffId, durationSeconds, odometerKm, ...leftOf(row), proof: null, odometerRead: null },
    decision: decision.parse(row.decision),
    validUntil: row.validUntil?.toISOString() ?? null,
  };
}

/** Whoever made it may see it wherever they or the machine are now. */
const depotUnlessOwn = ({ staffId, depotId }: { readonly staffId: string; readonly depotId: string }, actor: Actor): string | null =>
  staffId === actor.staffId ? null : depotId;

/** The daily check at an address; a rider's own only. */
export const check = objectOf({
  name: "check",
  missing: "There is no daily check with this id.",
  find: async ({ db }: AppContext, id, actor) => {
    const row = await findDailyCheck(db, id);
    return onlyRides(actor) && row?.staffId !== actor.staffId ? null : row;
  },
  depotOf: depotUnlessOwn,
});

/** Throws `record-forgotten`. */
export async function showDailyCheck(context: AppContext, row: CheckRow) {
  const entry = entryNotForgotten("daily-check", row);
  const { id, machineId, staffId, performedAt, recordedAt: now } = row;
  return checkReceiptInWords(context.db, entry, await readBeforeCheck(context.db, { id, machineId, staffId, performedAt, now }));
}

export async function listWeeklyInspections(context: AppContext, actor: Actor, view: View, query: ListQuery) {
  const rows = await findWeeklyInspections(
    context.db,
    filterOf(actor, view, query),
    cursorFrom(query.cursor, momentAndIdSchema),
    query.limit,
  );
  const secrets = await secretsSetBefore(context.db, rows);
  return pageFrom(rows, query.limit, placeInList, (row) => ({ ...listedInspection(row), ...besideAct(secrets.get(row.id)) }));
}

export type InspectionRow = NonNullable<Awaited<ReturnType<typeof findWeeklyInspection>>>;
function listedInspection(row: InspectionRow): Omit<ListedWeeklyInspection, keyof SecretBeside> {
  const entry = entryOf("weekly-inspection", row);
  if (entry !== null) return { ...weeklyInspectionReceipt(entry).inspection, forgottenBy: null };
  const { id, machineId, staffId, odometerKm } = row;
  return { id, machineId, staffId, odometerKm, ...leftOf(row), measuredBy: [], modelRevision: null, verdicts: [] };
}

/** The weekly inspection at an address. */
export const inspection = objectOf({
  name: "inspection",
  missing: "There is no weekly inspection with this id.",
  find: ({ db }: AppContext, id) => findWeeklyInspection(db, id),
  depotOf: depotUnlessOwn,
});

/** Throws `record-forgotten`. */
export async function showWeeklyInspection(context: AppContext, row: InspectionRow) {
  const receipt = await inspectionReceiptInWords(context.db, entryNotForgotten("weekly-inspection", row));
  return { ...receipt, ...besideAct((await secretsSetBefore(context.db, [row])).get(row.id)) };
}
