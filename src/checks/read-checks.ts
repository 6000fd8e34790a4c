// Reading daily checks and weekly inspections: the lists, and single ones with their receipts. Riders see their own.
import type { z } from "zod";
import type { checkListQuerySchema, ListedDailyCheck } from "../../shared/contracts/checks.ts";
import type { ListedWeeklyInspection } from "../../shared/contracts/inspections-read.ts";
import type { SecretBeside } from "../../shared/contracts/people.ts";
import { readAs } from "../../shared/records/index.ts";
import type { AppContext, EntryAsKept, KnownEntry } from "../acts/index.ts";
import { recordForgotten } from "../ledger/index.ts";
import { besideAct, secretsSetBefore } from "../people/index.ts";
import { type Actor, cursorFrom, depotsInView, momentAndIdSchema, mustSeeDepot, pageFrom, platformErrors } from "../platform/index.ts";
import { findDailyCheck, findDailyChecks, findWeeklyInspection, findWeeklyInspections } from "./store.ts";
import { dailyCheckReceipt, toldCheck } from "./submit-daily-check.ts";
import { toldInspection, weeklyInspectionReceipt } from "./submit-weekly-inspection.ts";

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

function mustBeTold<K extends CheckKind>(kind: K, row: WithEntry): KnownEntry<K> {
  const entry = entryOf(kind, row);
  if (entry === null) throw recordForgotten();
  return entry;
}

/** What is left of one whose answers were forgotten. */
const leftOf = (row: WithEntry & { readonly recordedAt: Date; readonly flags: string[] }) => ({
  performedAt: row.performedAt.toISOString(),
  recordedAt: row.recordedAt.toISOString(),
  flags: row.flags,
  ...{ sheetVersion: null, sheetSha256: null, answers: [], defectIds: [], forgottenBy: row.entry.forgottenBy },
});

const placeInList = (row: WithEntry): string[] => [row.performedAt.toISOString(), row.id];

const filterOf = (actor: Actor, query: ListQuery) => ({
  // A rider's own checks stay theirs to read when they or the machine have moved.
  depotIds: actor.role === "rider" && query.depotId === undefined ? null : depotsInView(actor, query.depotId),
  machineId: query.machineId,
  staffId: actor.role === "rider" ? actor.staffId : query.staffId,
  from: query.from,
  to: query.to,
});

export async function listDailyChecks(context: AppContext, actor: Actor, query: ListQuery) {
  const rows = await findDailyChecks(context.db, filterOf(actor, query), cursorFrom(query.cursor, momentAndIdSchema), query.limit);
  return pageFrom(rows, query.limit, placeInList, listedCheck);
}

type CheckRow = NonNullable<Awaited<ReturnType<typeof findDailyCheck>>>;
function listedCheck(row: CheckRow): ListedDailyCheck {
  const entry = entryOf("daily-check", row);
  if (entry !== null) return { ...dailyCheckReceipt(entry).check, forgottenBy: null };
  const { id, machineId, staffId, durationSeconds, odometerKm } = row;
  return {
    ...{ id, machineId, staffId, durationSeconds, odometerKm, ...leftOf(row), proof: null, odometerRead: null },
    decision: row.decision as ListedDailyCheck["decision"],
    validUntil: row.validUntil?.toISOString() ?? null,
  };
}

/** Throws `not-found` (also for another rider's check), `other-depot`, `record-forgotten`. */
export async function showDailyCheck(context: AppContext, actor: Actor, id: string) {
  const row = await findDailyCheck(context.db, id);
  if (!row || (actor.role === "rider" && row.staffId !== actor.staffId))
    throw platformErrors.problem("not-found", "There is no daily check with this id.");
  if (row.staffId !== actor.staffId) mustSeeDepot(actor, row.depotId);
  return toldCheck(context.db, mustBeTold("daily-check", row));
}

export async function listWeeklyInspections(context: AppContext, actor: Actor, query: ListQuery) {
  const rows = await findWeeklyInspections(context.db, filterOf(actor, query), cursorFrom(query.cursor, momentAndIdSchema), query.limit);
  const secrets = await secretsSetBefore(context.db, rows);
  return pageFrom(rows, query.limit, placeInList, (row) => ({ ...listedInspection(row), ...besideAct(secrets.get(row.id)) }));
}

type InspectionRow = NonNullable<Awaited<ReturnType<typeof findWeeklyInspection>>>;
function listedInspection(row: InspectionRow): Omit<ListedWeeklyInspection, keyof SecretBeside> {
  const entry = entryOf("weekly-inspection", row);
  if (entry !== null) return { ...weeklyInspectionReceipt(entry).inspection, forgottenBy: null };
  const { id, machineId, staffId, odometerKm } = row;
  return { id, machineId, staffId, odometerKm, ...leftOf(row), measuredBy: [], modelRevision: null, verdicts: [] };
}

/** Throws `not-found`, `other-depot`, `record-forgotten`. */
export async function showWeeklyInspection(context: AppContext, actor: Actor, id: string) {
  const row = await findWeeklyInspection(context.db, id);
  if (!row) throw platformErrors.problem("not-found", "There is no weekly inspection with this id.");
  if (row.staffId !== actor.staffId) mustSeeDepot(actor, row.depotId);
  const receipt = await toldInspection(context.db, mustBeTold("weekly-inspection", row));
  return { ...receipt, ...besideAct((await secretsSetBefore(context.db, [row])).get(id)) };
}
