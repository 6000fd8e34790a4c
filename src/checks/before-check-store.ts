// What the rider of a checked machine is told beside the answer (49 CFR 396.13: the next driver is told): what was put right since the
// machine was last cleared and who signed for it, and whether somebody else had checked it that day. It is read as things stood when the
// check arrived, so that its receipt says the same whenever it is asked for.
import { z } from "zod";
import type { BeforeCheck } from "../../shared/contracts/checks.ts";
import { type Database, statement } from "../platform/index.ts";

// Nobody reads more on a phone; the machine's history has them all.
const most = 20;

const putRightRows = statement(
  { defectId: z.guid(), itemId: z.string().nullable(), how: z.enum(["signed-off", "not-found"]), at: z.date(), by: z.string() },
  `SELECT d.id AS "defectId", d.item_id AS "itemId", d.status AS how, d.closed_at AS at, s.name AS by
   FROM daily_check own
     JOIN defect d ON d.machine_id = own.machine_id JOIN staff s ON s.id = d.closed_by
   WHERE own.id = $1::text::uuid AND d.status IN ('signed-off', 'not-found') AND d.closed_at <= own.recorded_at
     AND d.closed_at > coalesce((SELECT c.recorded_at FROM daily_check c
       WHERE c.machine_id = own.machine_id AND c.recorded_at < own.recorded_at AND c.decision <> 'do-not-ride'
       ORDER BY c.performed_at DESC LIMIT 1), '-infinity')
   ORDER BY d.closed_at DESC, d.id LIMIT ${most}`,
);
const checkedTodayRows = statement(
  { at: z.date(), decision: z.enum(["ride", "ride-with-defects", "do-not-ride"]) },
  `SELECT c.performed_at AS at, c.decision FROM daily_check own JOIN daily_check c ON c.machine_id = own.machine_id
   WHERE own.id = $1::text::uuid AND c.local_day = own.local_day AND c.staff_id <> own.staff_id AND c.recorded_at < own.recorded_at
   ORDER BY c.performed_at DESC LIMIT 1`,
);

/** What the rider of this check is told of the machine's time before it. */
export async function beforeCheck(db: Database, checkId: string): Promise<BeforeCheck> {
  const [putRight, [checked]] = await Promise.all([db.rows(putRightRows, [checkId]), db.rows(checkedTodayRows, [checkId])]);
  return {
    putRight: putRight.map(({ at, ...one }) => ({ ...one, at: at.toISOString() })),
    checkedToday: checked ? { at: checked.at.toISOString(), decision: checked.decision } : null,
  };
}
