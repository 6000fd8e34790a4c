// The SQL of the boards, which read and never write.
import { z } from "zod";
import { categorySchema } from "../../shared/contracts/common.ts";
import { groupBy } from "../../shared/group-by.ts";
import type { Weight } from "../../shared/rules/grounded-since.ts";
import { amendedSince, fieldThen, ofTheFleet, stateThen, type WithState, withStates } from "../acts/index.ts";
import { among, type Database, idsIn, type RowOf, statement } from "../platform/index.ts";

const listParameter = (ids: readonly string[] | null): string | null => (ids === null ? null : JSON.stringify(ids));

const columns = { id: z.guid(), registrationMark: z.string(), depotId: z.guid(), timeZone: z.string(), state: z.unknown() };
const boardRows = statement(
  columns,
  `SELECT m.id, m.registration_mark AS "registrationMark", d.id AS "depotId", d.time_zone AS "timeZone", m.state FROM machine m JOIN depot d ON d.id = m.depot_id
   WHERE ${among("m.depot_id", "$1")} AND ${ofTheFleet("m.state")} ORDER BY m.registration_mark`,
);
const pastBoardRows = statement(
  columns,
  `SELECT m.id, ${fieldThen.registrationMark} AS "registrationMark", d.id AS "depotId", d.time_zone AS "timeZone", s.state
   FROM machine m CROSS JOIN LATERAL ${stateThen("m.id", "$2")} s CROSS JOIN LATERAL ${amendedSince("$2")} a
   JOIN depot d ON d.id = s.depot_id
   WHERE ${among("s.depot_id", "$1")} AND ${ofTheFleet("s.state")} ORDER BY 2`,
);
const weightRows = statement(
  { defectId: z.guid(), at: z.date(), category: categorySchema },
  `SELECT d.id AS "defectId", w.recorded_at AS at, coalesce(w.category_found, w.category_left) AS category
   FROM defect d
     CROSS JOIN LATERAL (SELECT d.id AS entry UNION ALL SELECT e.id FROM defect_event e WHERE e.defect_id = d.id) told
     JOIN entry_weight w ON w.id = told.entry
   WHERE d.id IN ${idsIn("$1")}
     AND w.recorded_at <= $2::text::timestamptz AND coalesce(w.category_found, w.category_left) IS NOT NULL
   ORDER BY d.id, w.position`,
);
const depotRows = statement({}, "SELECT FROM depot WHERE id = $1::text::uuid");

export type BoardRow = WithState<RowOf<typeof boardRows>>;

/** All machines of the depots (null: of all) as they are now. */
export const readBoard = async (db: Database, depotIds: readonly string[] | null): Promise<BoardRow[]> =>
  withStates(await db.rows(boardRows, [listParameter(depotIds)]));

/** All machines that were in the depots at that moment, as they were called then, each with the last state that had arrived. */
export const readBoardAt = async (db: Database, depotIds: readonly string[] | null, at: Date): Promise<BoardRow[]> =>
  withStates(await db.rows(pastBoardRows, [listParameter(depotIds), at.toISOString()]));

/** How grave each of these defects was from when on, as had arrived by that moment, oldest first. */
export async function readWeights(db: Database, defectIds: readonly string[], at: Date): Promise<(defectId: string) => readonly Weight[]> {
  const rows = defectIds.length === 0 ? [] : await db.rows(weightRows, [JSON.stringify(defectIds), at.toISOString()]);
  const byDefect = groupBy(rows, ({ defectId }) => defectId);
  return (defectId) => byDefect.get(defectId) ?? [];
}

/** Whether there is a depot with this id. */
export const isDepot = async (db: Database, id: string): Promise<boolean> => (await db.rows(depotRows, [id])).length > 0;
