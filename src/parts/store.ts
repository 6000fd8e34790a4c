// The SQL of the list of parts and their prices.
import { z } from "zod";
import { groupBy } from "../../shared/group-by.ts";
import { holdPolicy } from "../people/index.ts";
import { type Ask, asInstant, command, type Database, instantText, type RowOf, statement } from "../platform/index.ts";

const price = z.strictObject({ fromDay: z.iso.date(), priceMinor: z.number(), currency: z.string() });
const columns = { key: z.string(), number: z.string(), name: z.string(), keptAt: instantText, prices: z.array(price) };
const partSql = `
SELECT p.key, p.number, p.name, ${asInstant("p.kept_at")} AS "keptAt",
  (SELECT coalesce(jsonb_agg(jsonb_build_object('fromDay', c.from_day, 'priceMinor', c.price_minor, 'currency', c.currency) ORDER BY c.from_day), '[]')
    FROM part_price c WHERE c.part_key = p.key) AS prices
FROM part p`;
/** The keys in a parameter, which is a JSON list. */
export const keysIn = (parameter: string): string => `(SELECT value FROM jsonb_array_elements_text(${parameter}::text::jsonb))`;

const partPageRows = statement(
  columns,
  `${partSql} WHERE ($1::text IS NULL OR p.key > $1::text)
     AND ($2::text IS NULL OR strpos(p.key, $2::text) > 0 OR strpos(lower(p.name), lower($3::text)) > 0) ORDER BY p.key LIMIT $4::int`,
);
const partRows = statement(columns, `${partSql} WHERE p.key IN ${keysIn("$1")}`);
export type PartRow = RowOf<typeof partRows>;

/** Parts by number as it is compared, after one of them; those with `key` in it, or `text` in the name. */
export const partsAfter = (
  db: Database,
  after: string | null,
  wanted: { readonly key: string; readonly text: string } | null,
  take: number,
): Promise<PartRow[]> => db.rows(partPageRows, [after, wanted?.key ?? null, wanted?.text ?? null, take]);

/** Those of these parts that the list has, by number as it is compared. */
export async function findParts(ask: Ask, keys: readonly string[]): Promise<ReadonlyMap<string, PartRow>> {
  const rows = keys.length === 0 ? [] : await ask(partRows, [JSON.stringify(keys)]);
  return new Map(rows.map((row) => [row.key, row]));
}

const recordedRows = statement(
  { parts: z.array(z.strictObject({ name: z.string(), quantity: z.number(), number: z.string().optional() })).nullable() },
  "SELECT parts FROM entry_repair WHERE id = $1::text::uuid",
);

/** The parts that a repair on record names; none where there is none with this id. */
export const partsRecorded = async (db: Database, id: string) => (await db.rows(recordedRows, [id]))[0]?.parts ?? [];

const pricesRows = statement(
  { key: z.string(), fromDay: z.iso.date(), priceMinor: z.number(), currency: z.string() },
  `SELECT part_key AS key, from_day::text AS "fromDay", price_minor::float8 AS "priceMinor", currency FROM part_price
   WHERE part_key IN ${keysIn("$1")} ORDER BY part_key, from_day`,
);

/** All prices of these parts, by number as it is compared. */
export const pricesOfParts = async (db: Database, keys: readonly string[]): Promise<Map<string, RowOf<typeof pricesRows>[]>> =>
  groupBy(await db.rows(pricesRows, [JSON.stringify(keys)]), ({ key }) => key);

/** The currency in which the firm counts, with the firm's row locked until the transaction ends: who changes the list at the same moment waits. */
export async function holdCurrency(ask: Ask): Promise<string | null> {
  return (await holdPolicy(ask)).currency;
}

const keepsParts = command(
  `INSERT INTO part (key, number, name, entry_id, kept_at)
   SELECT r.key, r.number, r.name, r."entryId", $2::text::timestamptz
   FROM jsonb_to_recordset($1::text::jsonb) AS r (key text, number text, name text, "entryId" uuid)
   ON CONFLICT (key) DO UPDATE SET name = EXCLUDED.name, entry_id = EXCLUDED.entry_id, kept_at = EXCLUDED.kept_at`,
);
const keepsPrices = command(
  `INSERT INTO part_price (part_key, from_day, price_minor, currency, entry_id)
   SELECT r.key, r."fromDay", r."priceMinor", r.currency, r."entryId"
   FROM jsonb_to_recordset($1::text::jsonb) AS r (key text, "fromDay" date, "priceMinor" bigint, currency text, "entryId" uuid)
   WHERE r."priceMinor" IS NOT NULL
   ON CONFLICT (part_key, from_day) DO UPDATE
   SET price_minor = EXCLUDED.price_minor, currency = EXCLUDED.currency, entry_id = EXCLUDED.entry_id`,
);
const takesPricesAway = command(
  `DELETE FROM part_price c USING jsonb_to_recordset($1::text::jsonb) AS r (key text, "fromDay" date, "priceMinor" bigint)
   WHERE c.part_key = r.key AND c.from_day = r."fromDay" AND r."priceMinor" IS NULL`,
);

/** A part as the list is to have it, with the price that changes. */
export interface PartToWrite {
  readonly key: string;
  readonly number: string;
  readonly name: string;
  readonly entryId: string;
  readonly price: { readonly fromDay: string; readonly priceMinor: number | null; readonly currency: string } | null;
}

/** Writes these parts, each of which has another number, with the entries that say so. */
export async function writeParts(ask: Ask, parts: readonly PartToWrite[], at: Date): Promise<void> {
  const prices = JSON.stringify(parts.flatMap(({ key, entryId, price }) => (price === null ? [] : [{ key, entryId, ...price }])));
  await ask(keepsParts, [JSON.stringify(parts.map(({ price: _price, ...part }) => part)), at.toISOString()]);
  await ask(takesPricesAway, [prices]);
  await ask(keepsPrices, [prices]);
}
