// The SQL of who rides what: who may, what was ridden and kept before, and what is kept. Each keeping replaces the one before, whose entry stays.
import { z } from "zod";
import { roleSchema } from "../../shared/contracts/common.ts";
import { type Ask, asInstant, command, idsIn, instantText, type RowOf, statement } from "../platform/index.ts";

const asked = idsIn("$1");

const riderRows = statement(
  {
    staffId: z.guid(),
    staffNumber: z.string(),
    name: z.string(),
    role: roleSchema,
    roles: z.array(roleSchema),
    licenceClass: z.string().nullable(),
    hasLeft: z.boolean(),
    isHere: z.boolean(),
  },
  `SELECT s.id AS "staffId", s.staff_number AS "staffNumber", s.name, s.role, to_jsonb(s.roles) AS roles, s.licence_class AS "licenceClass",
     s.left_at IS NOT NULL AS "hasLeft",
     s.all_depots OR EXISTS (SELECT 1 FROM staff_depot p WHERE p.staff_id = s.id AND p.depot_id = $2::text::uuid) AS "isHere"
   FROM staff s WHERE s.id IN ${asked}`,
);
export type RiderRow = RowOf<typeof riderRows>;

/** Those of these people who exist, with whether they belong to the depot. */
export const findRiders = (ask: Ask, depotId: string, staffIds: readonly string[]): Promise<RiderRow[]> =>
  ask(riderRows, [JSON.stringify(staffIds), depotId]);

const pairColumns = { staffId: z.guid(), machineId: z.guid() };
const lastDayOfUse = "(SELECT max(local_day) FROM daily_check WHERE depot_id = $1::text::uuid AND local_day < $2::text::date)";

const riddenRows = statement(
  pairColumns,
  `SELECT DISTINCT ON (staff_id) staff_id AS "staffId", machine_id AS "machineId" FROM daily_check
   WHERE depot_id = $1::text::uuid AND decision <> 'do-not-ride' AND local_day = ${lastDayOfUse}
   ORDER BY staff_id, performed_at DESC, id DESC`,
);
const keptBeforeRows = statement(
  pairColumns,
  `SELECT staff_id AS "staffId", machine_id AS "machineId" FROM allocation_line
   WHERE depot_id = $1::text::uuid AND day = (SELECT max(day) FROM allocation
     WHERE depot_id = $1::text::uuid AND day BETWEEN coalesce(${lastDayOfUse}, '-infinity') AND $2::text::date)`,
);

/**
 * The machine of each person from which a change counts: what was kept for `day` itself, else for the last day that has one; without that, or for who is
 * not in it, the machine of their last check that let them ride on the depot's last day of use. What was kept before that day no longer counts.
 */
export async function machinesBefore(ask: Ask, depotId: string, day: string): Promise<Map<string, string>> {
  const [ridden, kept] = [await ask(riddenRows, [depotId, day]), await ask(keptBeforeRows, [depotId, day])];
  return new Map([...ridden, ...kept].map(({ staffId, machineId }) => [staffId, machineId]));
}

// What is kept

/** Locks the depot, so that whoever keeps an allocation there at the same moment waits; records of its machines do not wait. */
const holdsDepot = command("SELECT id FROM depot WHERE id = $1::text::uuid FOR NO KEY UPDATE");
/** Locks the machines in the order in which acts lock them, so that nobody is cleared for one between looking and keeping. */
const holdsMachines = command(`SELECT id FROM machine WHERE id IN ${asked} ORDER BY id FOR SHARE`);

export async function holdAllocation(ask: Ask, depotId: string, machineIds: readonly string[]): Promise<void> {
  await ask(holdsDepot, [depotId]);
  await ask(holdsMachines, [JSON.stringify(machineIds)]);
}

const keptRows = statement(
  { revision: z.int(), staffId: z.guid(), staffNumber: z.string(), name: z.string(), keptAt: instantText },
  `SELECT a.revision, s.id AS "staffId", s.staff_number AS "staffNumber", s.name,
     ${asInstant("a.kept_at")} AS "keptAt"
   FROM allocation a JOIN staff s ON s.id = a.kept_by WHERE a.depot_id = $1::text::uuid AND a.day = $2::text::date`,
);
const lineRows = statement(
  { ...pairColumns, staffNumber: z.string(), name: z.string(), registrationMark: z.string() },
  `SELECT l.staff_id AS "staffId", l.machine_id AS "machineId", s.staff_number AS "staffNumber", s.name, m.registration_mark AS "registrationMark"
   FROM allocation_line l JOIN staff s ON s.id = l.staff_id JOIN machine m ON m.id = l.machine_id
   WHERE l.depot_id = $1::text::uuid AND l.day = $2::text::date ORDER BY s.staff_number`,
);
export type KeptLine = RowOf<typeof lineRows>;

export interface Kept {
  /** null: none was kept for this day */
  readonly head: RowOf<typeof keptRows> | null;
  /** by staff number */
  readonly lines: readonly KeptLine[];
}

/** What is kept for a depot's day. */
export async function readKept(ask: Ask, depotId: string, day: string): Promise<Kept> {
  const [head = null] = await ask(keptRows, [depotId, day]);
  return { head, lines: head === null ? [] : await ask(lineRows, [depotId, day]) };
}

const keeps = command(
  `INSERT INTO allocation (depot_id, day, revision, entry_id, kept_by, kept_at)
   VALUES ($1::text::uuid, $2::text::date, $3::int, $4::text::uuid, $5::text::uuid, $6::text::timestamptz)
   ON CONFLICT (depot_id, day) DO UPDATE
   SET revision = EXCLUDED.revision, entry_id = EXCLUDED.entry_id, kept_by = EXCLUDED.kept_by, kept_at = EXCLUDED.kept_at`,
);
const clearsLines = command("DELETE FROM allocation_line WHERE depot_id = $1::text::uuid AND day = $2::text::date");
const addsLines = command(
  `INSERT INTO allocation_line (depot_id, day, staff_id, machine_id)
   SELECT $1::text::uuid, $2::text::date, r."staffId", r."machineId"
   FROM jsonb_to_recordset($3::text::jsonb) AS r ("staffId" uuid, "machineId" uuid)`,
);

interface ToKeep {
  readonly depotId: string;
  readonly day: string;
  readonly revision: number;
  readonly entryId: string;
  readonly by: string;
  readonly at: Date;
  readonly lines: readonly { readonly staffId: string; readonly machineId: string }[];
}

/** Puts these lines in the place of what was kept for the day. */
export async function writeKept(ask: Ask, { depotId, day, revision, entryId, by, at, lines }: ToKeep): Promise<void> {
  await ask(keeps, [depotId, day, revision, entryId, by, at.toISOString()]);
  await ask(clearsLines, [depotId, day]);
  await ask(addsLines, [depotId, day, JSON.stringify(lines.map(({ staffId, machineId }) => ({ staffId, machineId })))]);
}
