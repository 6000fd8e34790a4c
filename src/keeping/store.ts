// The SQL of keeping and forgetting. It joins tables of other rooms, and writes only what the triggers allow.
import { z } from "zod";
import type { LegalHold } from "../../shared/contracts/keeping.ts";
import { storedPolicy } from "../../shared/rules/policy.ts";
import { datedKinds } from "../../shared/rules/retention.ts";
import { listIn } from "../acts/index.ts";
import { type Ask, asInstant, command, idsIn, instantText, type RowOf, statement } from "../platform/index.ts";

const keepingRows = statement(
  { policy: z.unknown(), zones: z.array(z.string()) },
  `SELECT policy, coalesce((SELECT jsonb_agg(DISTINCT time_zone) FROM depot), '[]') AS zones FROM firm`,
);

/** How long the firm keeps its records, and the zones of its depots. */
export async function readKeeping(ask: Ask): Promise<{ keepMonths: number; zones: string[] } | null> {
  const [firm] = await ask(keepingRows);
  return firm ? { keepMonths: storedPolicy(firm.policy).keepMonths, zones: firm.zones } : null;
}

// What is over at $1, of the kinds $2. Each part says why something stays although it is old:
//   late      a defect that is open or was closed too recently, with its whole course and the reports and photos about it
//   due_fall  a fall after which no inspection was made yet, with its photos
//   last      the last check and inspection of a machine: its state is read together with them
//   tied      a correction and what it corrects, as long as one of the two has to stay
//   held      a legal hold; on a depot it covers what was recorded there and the machines that are there now
// Only sealed entries are forgotten, so that their hashes can be proved for ever.
const overSql = `WITH RECURSIVE
hold AS (SELECT machine_id, depot_id FROM legal_hold WHERE lifted_at IS NULL),
old AS (
  SELECT l.id, l.kind, l.recorded_at, s.entry_id IS NOT NULL AS sealed,
    CASE WHEN l.kind = 'photo-added' THEN (SELECT a.photo_id FROM entry_photo_added a WHERE a.id = l.id) END AS photo_id,
    EXISTS (SELECT FROM hold h WHERE (h.machine_id IS NULL AND h.depot_id IS NULL) OR h.machine_id = l.machine_id
      OR h.depot_id IN (l.depot_id, m.depot_id)
      OR (l.kind = 'report-taken' AND h.machine_id = (SELECT r.about_machine_id FROM entry_report r WHERE r.id = l.id))) AS held
  FROM ledger l LEFT JOIN sealed_entry s ON s.entry_id = l.id LEFT JOIN machine m ON m.id = l.machine_id
  WHERE l.recorded_at < $1::text::timestamptz AND l.data IS NOT NULL
    AND l.kind IN (SELECT jsonb_array_elements_text($2::text::jsonb))),
late AS (SELECT id, origin_id FROM defect WHERE closed_at IS NULL OR closed_at >= $1::text::timestamptz),
late_event AS (SELECT e.id, e.kind FROM defect_event e JOIN late ON late.id = e.defect_id),
due_fall AS (
  SELECT old.id FROM machine m CROSS JOIN LATERAL jsonb_array_elements(${listIn("m.state", "falls")}) f
    JOIN old ON old.id::text = f->>'recordId'),
needed AS (
  SELECT old.id FROM machine m JOIN old ON old.id::text = m.state->'away'->>'recordId'
  UNION SELECT id FROM due_fall UNION SELECT id FROM late UNION SELECT origin_id FROM late UNION SELECT id FROM late_event
  UNION SELECT f.origin_id FROM late_event e JOIN entry_finding f ON f.id = e.id WHERE e.kind = 'sighting'
  UNION SELECT old.id FROM old JOIN photo_use u ON u.photo_id = old.photo_id JOIN late ON late.id = u.defect_id
  UNION SELECT old.id FROM old JOIN photo_use u ON u.photo_id = old.photo_id JOIN due_fall ON due_fall.id = u.entry_id
  UNION SELECT c.id FROM machine m CROSS JOIN LATERAL
    (SELECT id FROM daily_check WHERE machine_id = m.id ORDER BY performed_at DESC, id DESC LIMIT 1) c
  UNION SELECT w.id FROM machine m CROSS JOIN LATERAL
    (SELECT id FROM weekly_inspection WHERE machine_id = m.id ORDER BY performed_at DESC, id DESC LIMIT 1) w),
over AS (SELECT * FROM old WHERE NOT EXISTS (SELECT FROM needed WHERE needed.id = old.id)),
correction AS (SELECT id, corrects::uuid AS corrects FROM entry_correction WHERE corrects IS NOT NULL),
beside AS (SELECT id AS one, corrects AS other FROM correction UNION ALL SELECT corrects, id FROM correction),
tied (id) AS (
  SELECT b.one FROM beside b JOIN ledger l ON l.id = b.one AND l.data IS NOT NULL
    WHERE NOT EXISTS (SELECT FROM over WHERE over.id = b.one AND NOT over.held)
  UNION SELECT b.other FROM tied JOIN beside b ON b.one = tied.id),
due AS (SELECT id, kind, recorded_at, sealed FROM over WHERE NOT held AND NOT EXISTS (SELECT FROM tied WHERE tied.id = over.id))`;

const overAt = (before: Date): string[] => [before.toISOString(), JSON.stringify(datedKinds)];

const overRows = statement(
  { kind: z.string(), due: z.int(), held: z.int() },
  `${overSql} SELECT kind, count(*) FILTER (WHERE due)::int AS due, count(*) FILTER (WHERE NOT due)::int AS held
     FROM (SELECT kind, true AS due FROM due UNION ALL SELECT kind, false FROM over WHERE held) counted GROUP BY kind ORDER BY kind`,
);

/** How many records of each kind are due, and how many only a hold keeps. */
export const countOver = (ask: Ask, before: Date): Promise<RowOf<typeof overRows>[]> => ask(overRows, overAt(before));

const dueRows = statement(
  { id: z.guid(), kind: z.string() },
  `${overSql} SELECT id, kind FROM due WHERE sealed ORDER BY recorded_at, id LIMIT $3::int`,
);

/** Up to `most` records that are due and sealed, the oldest first. */
export const findDue = (ask: Ask, before: Date, most: number): Promise<RowOf<typeof dueRows>[]> => ask(dueRows, [...overAt(before), most]);

const these = idsIn("$1");
const forgottenRows = statement(
  { id: z.guid() },
  `UPDATE ledger SET data = NULL, salt = NULL, forgotten_by = $2::text::uuid WHERE id IN ${these} AND data IS NOT NULL RETURNING id`,
);
const forgetsNotes = command(`UPDATE defect SET note = NULL WHERE id IN ${these} AND note IS NOT NULL`);

/** Deletes the words of these records and their copies in other tables; `forgottenBy` is the entry that says so. Returns how many records. */
export async function forgetWords(ask: Ask, ids: readonly string[], forgottenBy: string): Promise<number> {
  const listed = JSON.stringify(ids);
  const gone = await ask(forgottenRows, [listed, forgottenBy]);
  await ask(forgetsNotes, [listed]);
  return gone.length;
}

// Holds

const holdSql = `
SELECT h.id, h.machine_id AS "machineId", m.registration_mark AS "registrationMark", h.depot_id AS "depotId",
  p.reason, h.placed_by AS "placedBy", ${asInstant("h.placed_at")} AS "placedAt",
  CASE WHEN h.lifted_at IS NOT NULL THEN
    jsonb_build_object('by', h.lifted_by, 'at', ${asInstant("h.lifted_at")}, 'reason', q.reason) END AS lifted
FROM legal_hold h JOIN entry_hold_placed p ON p.id = h.id LEFT JOIN entry_hold_lifted q ON q.id = h.lifted_with LEFT JOIN machine m ON m.id = h.machine_id`;

const holdColumns = {
  ...{ id: z.guid(), machineId: z.guid().nullable(), registrationMark: z.string().nullable(), depotId: z.guid().nullable() },
  ...{ reason: z.string(), placedBy: z.guid(), placedAt: instantText },
  lifted: z.strictObject({ by: z.guid(), at: instantText, reason: z.string() }).nullable(),
};
const holdRows = statement(holdColumns, `${holdSql} WHERE h.id = $1::text::uuid`);
const holdPageRows = statement(
  holdColumns,
  `${holdSql} WHERE ($1::text = 'all' OR (h.lifted_at IS NULL) = ($1::text = 'standing'))
       AND ($2::text IS NULL OR (h.placed_at, h.id) < ($2::text::timestamptz, $3::text::uuid))
     ORDER BY h.placed_at DESC, h.id DESC LIMIT $4::int`,
);

/** A hold; null for an unknown one. */
export async function readHold(ask: Ask, id: string): Promise<LegalHold | null> {
  const [hold] = await ask(holdRows, [id]);
  return hold ?? null;
}

/** Holds newest first, `limit + 1` of them, after the cursor's place; all, or those in force, or those that were lifted. */
export const findHolds = (
  ask: Ask,
  state: "standing" | "lifted" | "all",
  after: readonly string[] | null,
  limit: number,
): Promise<LegalHold[]> => ask(holdPageRows, [state, after?.[0] ?? null, after?.[1] ?? null, limit + 1]);

const insertsHold = command(
  `INSERT INTO legal_hold (id, machine_id, depot_id, placed_by, placed_at)
     VALUES ($1::text::uuid, $2::text::uuid, $3::text::uuid, $4::text::uuid, $5::text::timestamptz)`,
);

export async function insertHold(
  ask: Ask,
  hold: { readonly id: string; readonly machineId: string | null; readonly depotId: string | null; readonly by: string; readonly at: Date },
): Promise<void> {
  await ask(insertsHold, [hold.id, hold.machineId, hold.depotId, hold.by, hold.at.toISOString()]);
}

const liftsHold = command(
  `UPDATE legal_hold SET lifted_with = $2::text::uuid, lifted_by = $3::text::uuid, lifted_at = $4::text::timestamptz WHERE id = $1::text::uuid`,
);

export async function markLifted(ask: Ask, id: string, entryId: string, by: string, at: Date): Promise<void> {
  await ask(liftsHold, [id, entryId, by, at.toISOString()]);
}

const heldMachineRows = statement(
  { registrationMark: z.string(), depotId: z.guid() },
  `SELECT registration_mark AS "registrationMark", depot_id AS "depotId" FROM machine WHERE id = $1::text::uuid`,
);

/** The machine that a hold is to be placed on; null for an unknown id. */
export const findHeldMachine = async (ask: Ask, id: string): Promise<RowOf<typeof heldMachineRows> | null> =>
  (await ask(heldMachineRows, [id]))[0] ?? null;

const holdCountRows = statement({ holds: z.int() }, "SELECT count(*)::int AS holds FROM legal_hold WHERE lifted_at IS NULL");

export const countStandingHolds = async (ask: Ask): Promise<number> => (await ask(holdCountRows))[0]?.holds ?? 0;

// People

const holdOnPersonRows = statement(
  { id: z.guid() },
  `SELECT h.id FROM legal_hold h WHERE h.lifted_at IS NULL AND (
       (h.machine_id IS NULL AND h.depot_id IS NULL)
       OR EXISTS (SELECT FROM staff_depot d WHERE d.staff_id = $1::text::uuid AND d.depot_id = h.depot_id)
       OR EXISTS (SELECT FROM ledger l WHERE l.chain_id = h.machine_id AND l.staff_id = $1::text::uuid)
       OR EXISTS (SELECT FROM ledger l WHERE l.depot_id = h.depot_id AND l.staff_id = $1::text::uuid))
     ORDER BY h.placed_at LIMIT 1`,
);

/** A hold because of which this person's name has to stay: on the whole firm, on a depot of theirs, or on anything that they recorded something about. */
export const holdOnPerson = async (ask: Ask, staffId: string): Promise<string | null> =>
  (await ask(holdOnPersonRows, [staffId]))[0]?.id ?? null;

const aboutRows = statement(
  { id: z.guid() },
  `WITH RECURSIVE about (id) AS (
       SELECT l.id FROM entry_person l JOIN firm ON firm.id = l.chain_id WHERE l.kind <> 'person-forgotten' AND l.person_id = $1::text::uuid
       UNION SELECT c.id FROM about JOIN entry_correction c ON c.corrects = about.id::text)
     SELECT id FROM about`,
);

/** The firm's records about a person, and their corrections, that have not been forgotten. */
export const findRecordsAbout = async (ask: Ask, staffId: string): Promise<string[]> =>
  (await ask(aboutRows, [staffId])).map(({ id }) => id);

const forgettingRows = statement(
  { id: z.guid() },
  `SELECT l.id FROM entry_person l JOIN firm ON firm.id = l.chain_id WHERE l.kind = 'person-forgotten' AND l.person_id = $1::text::uuid LIMIT 1`,
);

/** Whether the person was made anonymous already. */
export const isForgotten = async (ask: Ask, staffId: string): Promise<boolean> => (await ask(forgettingRows, [staffId])).length > 0;
