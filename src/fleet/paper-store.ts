// The SQL of a machine's papers.
import { z } from "zod";
import { endingReasonSchema, paperKindSchema } from "../../shared/contracts/papers.ts";
import { asInstant, type Database, instantText, type RowOf, statement } from "../platform/index.ts";

const paperSql = `
SELECT p.id, p.machine_id AS "machineId", p.kind, p.number, p.valid_from::text AS "validFrom", p.valid_to::text AS "validTo",
  ${asInstant("p.recorded_at")} AS "recordedAt",
  CASE WHEN e.id IS NOT NULL THEN jsonb_build_object('id', e.id, 'day', e.day, 'reason', e.reason, 'grounds', e.grounds,
    'note', l.note, 'staffId', e.staff_id, 'staffNumber', s.staff_number, 'staffName', s.name,
    'recordedAt', ${asInstant("e.recorded_at")}) END AS ending
FROM paper p LEFT JOIN paper_ending e ON e.paper_id = p.id LEFT JOIN entry_paper_ended l ON l.id = e.id LEFT JOIN staff s ON s.id = e.staff_id`;

const paperColumns = {
  ...{ id: z.guid(), machineId: z.guid(), kind: paperKindSchema, number: z.string(), validFrom: z.iso.date(), validTo: z.iso.date() },
  recordedAt: instantText,
  ending: z
    .strictObject({
      ...{ id: z.guid(), day: z.iso.date(), reason: endingReasonSchema, grounds: z.boolean(), note: z.string().nullable() },
      ...{ staffId: z.guid(), staffNumber: z.string(), staffName: z.string(), recordedAt: instantText },
    })
    .nullable(),
};
const paperPageRows = statement(
  paperColumns,
  `${paperSql}
     WHERE p.machine_id = $1::text::uuid AND ($2::text IS NULL OR (p.valid_to, p.id) < ($2::text::date, $3::text::uuid))
     ORDER BY p.valid_to DESC, p.id DESC LIMIT $4::int`,
);
const paperOfKindRows = statement(
  paperColumns,
  `${paperSql} WHERE p.machine_id = $1::text::uuid AND p.kind = $2::text ORDER BY p.recorded_at, p.id`,
);
const paperPlaceRows = statement(
  { machineId: z.guid(), kind: z.string() },
  'SELECT machine_id AS "machineId", kind FROM paper WHERE id = $1::text::uuid',
);
/** A paper as it was recorded, with its ending where it has one. */
export type PaperRow = RowOf<typeof paperPageRows>;

/** Papers of a machine, the one that lasts longest first, after a place in that order. */
export function papersAfter(db: Database, machineId: string, after: readonly string[] | null, take: number): Promise<PaperRow[]> {
  return db.rows(paperPageRows, [machineId, after?.[0] ?? null, after?.[1] ?? null, take]);
}

/** All papers of a machine of one kind, in the order in which they were recorded. */
export const papersOfKind = (db: Database, machineId: string, kind: string): Promise<PaperRow[]> =>
  db.rows(paperOfKindRows, [machineId, kind]);

/** Of which machine a paper is, and of which kind; neither ever changes. */
export async function findPaper(db: Database, id: string): Promise<{ readonly machineId: string; readonly kind: string } | null> {
  const [row] = await db.rows(paperPlaceRows, [id]);
  return row ?? null;
}
