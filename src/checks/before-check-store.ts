// What the rider of a checked machine is told beside the answer (49 CFR 396.13: the next driver is told): what was put right since the
// machine was last cleared and who signed for it, and whether somebody else had checked it that day. It is read before the check is stored,
// since a stored check is answered whatever happens to the database then, and later as things stood when the check arrived: its receipt says
// the same whenever it is asked for.
import { z } from "zod";
import type { BeforeCheck } from "../../shared/contracts/before-check.ts";
import { type Database, statement } from "../platform/index.ts";

// Nobody reads more on a phone; the machine's history has them all.
const most = 20;

/** The check as it is stored, or as it is about to be. */
const ownSql = `(SELECT a.machine_id, a.staff_id, coalesce(c.recorded_at, a.now) AS recorded_at,
    coalesce(c.local_day, (a.performed_at AT TIME ZONE d.time_zone)::date) AS local_day
  FROM jsonb_to_record($1::text::jsonb) AS a (check_id uuid, machine_id uuid, staff_id uuid, performed_at timestamptz, now timestamptz)
    JOIN machine m ON m.id = a.machine_id JOIN depot d ON d.id = m.depot_id LEFT JOIN daily_check c ON c.id = a.check_id) own`;

const putRightRows = statement(
  {
    defectId: z.guid(),
    itemId: z.string().nullable(),
    how: z.enum(["signed-off", "not-found"]),
    at: z.date(),
    by: z.string(),
    campaign: z.string().nullable(),
  },
  `SELECT d.id AS "defectId", d.item_id AS "itemId", d.status AS how, d.closed_at AS at, s.name AS by, c.name AS campaign
   FROM ${ownSql} JOIN defect d ON d.machine_id = own.machine_id JOIN staff s ON s.id = d.closed_by
     LEFT JOIN campaign c ON c.id = d.origin_id AND d.origin = 'campaign'
   WHERE d.status IN ('signed-off', 'not-found') AND d.closed_at <= own.recorded_at
     AND d.closed_at > coalesce((SELECT c.recorded_at FROM daily_check c
       WHERE c.machine_id = own.machine_id AND c.recorded_at < own.recorded_at AND c.decision <> 'do-not-ride'
       ORDER BY c.performed_at DESC LIMIT 1), '-infinity')
   ORDER BY d.closed_at DESC, d.id LIMIT ${most}`,
);
const checkedTodayRows = statement(
  { at: z.date(), decision: z.enum(["ride", "ride-with-defects", "do-not-ride"]) },
  `SELECT c.performed_at AS at, c.decision FROM ${ownSql} JOIN daily_check c ON c.machine_id = own.machine_id
   WHERE c.local_day = own.local_day AND c.staff_id <> own.staff_id AND c.recorded_at < own.recorded_at
   ORDER BY c.performed_at DESC LIMIT 1`,
);

export interface CheckAsked {
  readonly id: string;
  readonly machineId: string;
  readonly staffId: string;
  readonly performedAt: Date;
  readonly now: Date;
}

/** What the rider of this check, stored or about to be, is told of the machine's time before it. */
export async function readBeforeCheck(db: Database, { id, machineId, staffId, performedAt, now }: CheckAsked): Promise<BeforeCheck> {
  const asked = [JSON.stringify({ check_id: id, machine_id: machineId, staff_id: staffId, performed_at: performedAt, now })];
  const [putRight, [checked]] = await Promise.all([db.rows(putRightRows, asked), db.rows(checkedTodayRows, asked)]);
  return {
    putRight: putRight.map(({ at, campaign, ...one }) => ({ ...one, at: at.toISOString(), ...(campaign === null ? {} : { campaign }) })),
    checkedToday: checked ? { at: checked.at.toISOString(), decision: checked.decision } : null,
  };
}
