// The only file of this room that speaks to the database. What was answered is in the ledger entry with the same id.

import { z } from "zod";
import type { Prisma } from "../../prisma/client/client.ts";
import { inspectionDraftBodySchema } from "../../shared/contracts/checks.ts";
import { ofTheFleet } from "../acts/index.ts";
import { among, asInstant, command, type Database, instantText, type RowOf, statement } from "../platform/index.ts";

export interface CheckFilter {
  readonly depotIds: readonly string[] | null;
  readonly machineId?: string | undefined;
  readonly staffId?: string | undefined;
  readonly from?: string | undefined;
  readonly to?: string | undefined;
}

const day = (text: string): Date => new Date(`${text}T00:00:00Z`);

function whereOf(filter: CheckFilter, after: readonly string[] | null) {
  const [performedAt, id] = after ?? [];
  const place =
    performedAt && id
      ? [{ OR: [{ performedAt: { lt: new Date(performedAt) } }, { performedAt: new Date(performedAt), id: { lt: id } }] }]
      : [];
  return {
    AND: [
      {
        ...(filter.depotIds === null ? {} : { depotId: { in: [...filter.depotIds] } }),
        ...(filter.machineId === undefined ? {} : { machineId: filter.machineId }),
        ...(filter.staffId === undefined ? {} : { staffId: filter.staffId }),
        localDay: { ...(filter.from ? { gte: day(filter.from) } : {}), ...(filter.to ? { lte: day(filter.to) } : {}) },
      },
      ...place,
    ],
  } satisfies Prisma.DailyCheckWhereInput & Prisma.WeeklyInspectionWhereInput;
}

const newestFirst = [{ performedAt: "desc" }, { id: "desc" }] as const satisfies object[];

/** Daily checks newest first, `limit + 1` of them, each with its entry. */
export const findDailyChecks = (db: Database, filter: CheckFilter, after: readonly string[] | null, limit: number) =>
  db.prisma.dailyCheck.findMany({ where: whereOf(filter, after), orderBy: [...newestFirst], take: limit + 1, include: { entry: true } });

export const findDailyCheck = (db: Database, id: string) => db.prisma.dailyCheck.findUnique({ where: { id }, include: { entry: true } });

/** Weekly inspections newest first, `limit + 1` of them, each with its entry. */
export const findWeeklyInspections = (db: Database, filter: CheckFilter, after: readonly string[] | null, limit: number) =>
  db.prisma.weeklyInspection.findMany({
    where: whereOf(filter, after),
    orderBy: [...newestFirst],
    take: limit + 1,
    include: { entry: true },
  });

export const findWeeklyInspection = (db: Database, id: string) =>
  db.prisma.weeklyInspection.findUnique({ where: { id }, include: { entry: true } });

// A draft that was submitted, or last saved before `$1`, counts as gone, whether or not its row was deleted already.
const draftSql = `
SELECT d.id, d.machine_id AS "machineId", m.registration_mark AS "registrationMark", m.depot_id AS "depotId", d.revision, d.body,
  d.begun_by AS "begunBy", ${asInstant("d.begun_at")} AS "begunAt", d.saved_by AS "savedBy", ${asInstant("d.saved_at")} AS "savedAt", d.answered_by AS "answeredBy"
FROM inspection_draft d JOIN machine m ON m.id = d.machine_id
WHERE d.saved_at > $1::text::timestamptz AND ${ofTheFleet("m.state")} AND NOT EXISTS (SELECT 1 FROM ledger l WHERE l.id = d.id)`;

const answeredBy = z.record(z.string(), z.guid());
const draftColumns = {
  ...{ id: z.guid(), machineId: z.guid(), registrationMark: z.string(), depotId: z.guid(), revision: z.int() },
  ...{
    body: inspectionDraftBodySchema.omit({ revision: true }),
    begunBy: z.guid(),
    begunAt: instantText,
    savedBy: z.guid(),
    savedAt: instantText,
  },
  /** staff id by item id */
  answeredBy,
};
const draftRows = statement(draftColumns, `${draftSql} AND d.id = $2::text::uuid`);
const draftPageRows = statement(
  draftColumns,
  `${draftSql}
     AND ${among("m.depot_id", "$2")}
     AND ($3::text IS NULL OR d.machine_id = $3::text::uuid)
     AND ($4::text IS NULL OR (d.saved_at, d.id) < ($4::text::timestamptz, $5::text::uuid))
     ORDER BY d.saved_at DESC, d.id DESC LIMIT $6::int`,
);
/** A draft with the machine that it belongs to. */
export type DraftRow = RowOf<typeof draftRows>;

/** A draft saved after `since`; null for none. */
export async function findDraft(db: Database, id: string, since: Date): Promise<DraftRow | null> {
  const [row] = await db.rows(draftRows, [since.toISOString(), id]);
  return row ?? null;
}

/** Drafts saved after `since`, the one saved last first, `limit + 1` of them. */
export function findDrafts(
  db: Database,
  since: Date,
  filter: { readonly depotIds: readonly string[] | null; readonly machineId: string | undefined },
  after: readonly string[] | null,
  limit: number,
): Promise<DraftRow[]> {
  return db.rows(draftPageRows, [
    since.toISOString(),
    filter.depotIds && JSON.stringify(filter.depotIds),
    filter.machineId ?? null,
    after?.[0] ?? null,
    after?.[1] ?? null,
    limit + 1,
  ]);
}

const answerRows = statement(
  { answers: draftColumns.body.shape.answers, answeredBy },
  `SELECT body->'answers' AS answers, answered_by AS "answeredBy" FROM inspection_draft
     WHERE id = $1::text::uuid AND machine_id = $2::text::uuid`,
);

/** The answers of a draft of this machine with who gave each; null where there is none. */
export const findAnswersOfDraft = async (db: Database, id: string, machineId: string): Promise<RowOf<typeof answerRows> | null> =>
  (await db.rows(answerRows, [id, machineId]))[0] ?? null;

const clearsOld = command("DELETE FROM inspection_draft WHERE saved_at <= $1::text::timestamptz RETURNING id");
const writtenRows = statement(
  { id: z.guid() },
  `INSERT INTO inspection_draft AS d (id, machine_id, revision, body, begun_by, begun_at, saved_by, saved_at, answered_by)
     SELECT $1::text::uuid, $2::text::uuid, $3::int + 1, $4::text::jsonb, $5::text::uuid, $6::text::timestamptz, $5::text::uuid, $6::text::timestamptz,
       $7::text::jsonb
     WHERE NOT EXISTS (SELECT 1 FROM ledger WHERE id = $1::text::uuid)
     ON CONFLICT (id) DO UPDATE SET revision = excluded.revision, body = excluded.body, saved_by = excluded.saved_by, saved_at = excluded.saved_at,
       answered_by = excluded.answered_by
     WHERE d.revision = $3::int AND d.machine_id = excluded.machine_id
     RETURNING d.id`,
);
const sameDraftRows = statement(
  { sameMachine: z.boolean(), repeated: z.boolean() },
  `SELECT machine_id = $2::text::uuid AS "sameMachine",
       revision = $3::int + 1 AND body = $4::text::jsonb AND saved_by = $5::text::uuid AS repeated
     FROM inspection_draft WHERE id = $1::text::uuid AND NOT EXISTS (SELECT 1 FROM ledger WHERE id = $1::text::uuid)`,
);

/**
 * Saves a draft over the revision that was read, and deletes those last saved before `since`. `saved`: it is saved now, or the same was
 * saved as this revision already. Else somebody saved another, it belongs to another machine, or its inspection was submitted.
 */
export async function writeDraft(
  db: Database,
  draft: Pick<DraftRow, "id" | "machineId" | "revision" | "body" | "answeredBy"> & { readonly staffId: string },
  at: Date,
  since: Date,
): Promise<"saved" | "changed" | "finished" | "other-machine"> {
  const { id, machineId, revision, staffId } = draft;
  await db.rows(clearsOld, [since.toISOString()]);
  const body = JSON.stringify(draft.body);
  const written = await db.rows(writtenRows, [id, machineId, revision, body, staffId, at.toISOString(), JSON.stringify(draft.answeredBy)]);
  if (written.length > 0) return "saved";
  const [there] = await db.rows(sameDraftRows, [id, machineId, revision, body, staffId]);
  if (there === undefined) return "finished";
  if (!there.sameMachine) return "other-machine";
  return there.repeated ? "saved" : "changed";
}
