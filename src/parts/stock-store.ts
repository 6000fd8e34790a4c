// The SQL of what lies on shelves.
import { z } from "zod";
import { type Ask, asInstant, command, type Database, instantText, statement } from "../platform/index.ts";
import { keysIn } from "./store.ts";

const stockRows = statement(
  { key: z.string(), how: z.enum(["counted", "received"]), quantity: z.number(), at: instantText, recordedAt: instantText },
  `SELECT s.part_key AS key, s.how, s.quantity::float8 AS quantity, ${asInstant("s.at")} AS at, ${asInstant("s.recorded_at")} AS "recordedAt"
   FROM stock_record s WHERE s.depot_id = $1::text::uuid AND s.part_key IN ${keysIn("$2")}
     AND s.at >= (SELECT max(c.at) FROM stock_record c WHERE c.depot_id = s.depot_id AND c.part_key = s.part_key AND c.how = 'counted')`,
);

/** The last count of each of these parts at a depot, and what was recorded of it from then on. */
export const readStock = (db: Database, depotId: string, keys: readonly string[]) => db.rows(stockRows, [depotId, JSON.stringify(keys)]);

const insertsStock = command(
  `INSERT INTO stock_record (id, part_key, depot_id, how, quantity, at, recorded_at)
   VALUES ($1::text::uuid, $2::text, $3::text::uuid, $4::text, $5::float8, $6::text::timestamptz, $7::text::timestamptz)`,
);

export async function insertStock(
  ask: Ask,
  row: {
    readonly id: string;
    readonly key: string;
    readonly depotId: string;
    readonly how: "counted" | "received";
    readonly quantity: number;
    readonly at: Date;
    readonly recordedAt: Date;
  },
): Promise<void> {
  const { id, key, depotId, how, quantity, at, recordedAt } = row;
  await ask(insertsStock, [id, key, depotId, how, quantity, at.toISOString(), recordedAt.toISOString()]);
}
