// The only file of this room that speaks to the database.

import { z } from "zod";
import type { Prisma } from "../../prisma/client/client.ts";
import { defectSchema } from "../../shared/contracts/defects.ts";
import { listIn, ofTheFleet } from "../acts/index.ts";
import { type Database, idsIn, type RowOf, statement } from "../platform/index.ts";

const machineIdRows = statement({ machineId: z.guid() }, `SELECT machine_id AS "machineId" FROM defect WHERE id = $1::text::uuid`);

/** The machine that a defect belongs to; null for an unknown defect. */
export async function machineOfDefect(db: Database, defectId: string): Promise<string | null> {
  const [row] = await db.rows(machineIdRows, [defectId]);
  return row?.machineId ?? null;
}

/** Where a defect stands by its row, closed ones included; null for an unknown one. */
export async function standingOfDefect(db: Database, id: string) {
  const row = await db.prisma.defect.findUnique({ where: { id }, select: { status: true, category: true, dueDay: true } });
  return row && { id, status: status.parse(row.status), category: category.parse(row.category), dueDay: dayOf(row.dueDay) };
}

/** A day as the database has it, as a day. */
export const dayOf = (day: Date | null): string | null => day?.toISOString().slice(0, 10) ?? null;

export interface DefectFilter {
  readonly depotIds: readonly string[] | null;
  readonly status?: readonly string[] | undefined;
  readonly machineId?: string | undefined;
  readonly category?: string | undefined;
  /** when it was seen, for the depots of each time zone; null: whenever */
  readonly seen: readonly SeenIn[] | null;
}

export interface SeenIn {
  readonly depotIds: readonly string[];
  readonly from?: Date | undefined;
  readonly before?: Date | undefined;
}

interface InText extends Readonly<Record<"category" | "status" | "origin" | "competence", string>> {
  readonly quantity: string | null;
}
const { category, status, origin, competence, quantity } = defectSchema.shape;

/** A row with the words that its texts are: the table lets no others in. */
const inWords = <Row extends InText>(row: Row) => ({
  ...row,
  ...{ category: category.parse(row.category), status: status.parse(row.status), origin: origin.parse(row.origin) },
  ...{ competence: competence.parse(row.competence), quantity: quantity.parse(row.quantity) },
});

const leftOpenRows = statement(
  { machineId: z.guid() },
  `SELECT DISTINCT d.machine_id AS "machineId" FROM machine m JOIN defect d ON d.machine_id = m.id
   WHERE NOT ${ofTheFleet("m.state")} AND d.status IN ('open', 'deferred', 'repaired')`,
);

/** The machines that were sold or scrapped with defects open: nobody is to put those right any more. */
const leftWithDefects = async (db: Database): Promise<string[]> => (await db.rows(leftOpenRows)).map(({ machineId }) => machineId);

/**
 * Defects newest first, `limit + 1` of them, after the cursor's place. What a sold or scrapped machine left open is listed only where that
 * machine is asked for.
 */
export async function findDefects(db: Database, filter: DefectFilter, after: readonly string[] | null, limit: number) {
  const gone = filter.machineId === undefined ? await leftWithDefects(db) : [];
  const where: Prisma.DefectWhereInput = {
    ...(gone.length === 0 ? {} : { NOT: { machineId: { in: gone }, status: { in: ["open", "deferred", "repaired"] } } }),
    ...(filter.depotIds === null ? {} : { depotId: { in: [...filter.depotIds] } }),
    ...(filter.status === undefined ? {} : { status: { in: [...filter.status] } }),
    ...(filter.machineId === undefined ? {} : { machineId: filter.machineId }),
    ...(filter.category === undefined ? {} : { category: filter.category }),
    ...(filter.seen === null
      ? {}
      : {
          OR: filter.seen.map(({ depotIds, from, before }) => ({
            depotId: { in: [...depotIds] },
            seenAt: { ...(from ? { gte: from } : {}), ...(before ? { lt: before } : {}) },
          })),
        }),
  };
  const [seenAt, id] = after ?? [];
  const place: Prisma.DefectWhereInput =
    seenAt && id ? { OR: [{ seenAt: { lt: new Date(seenAt) } }, { seenAt: new Date(seenAt), id: { lt: id } }] } : {};
  const rows = await db.prisma.defect.findMany({
    where: { AND: [where, place] },
    orderBy: [{ seenAt: "desc" }, { id: "desc" }],
    take: limit + 1,
  });
  return rows.map(inWords);
}

const workshopRows = statement(
  { id: z.guid(), workshop: z.string().nullable() },
  `SELECT id, workshop FROM entry_repair WHERE id IN ${idsIn("$1")}`,
);

/**
 * The other workshops that repaired some of these defects, by what their rows name as the repairer: a record of that repair and no person. Null
 * where its words were forgotten.
 */
export async function workshopsBehind(
  db: Database,
  rows: readonly { readonly repairedBy: string | null }[],
): Promise<Map<string, string | null>> {
  const ids = rows.flatMap(({ repairedBy }) => repairedBy ?? []);
  const found = ids.length === 0 ? [] : await db.rows(workshopRows, [JSON.stringify(ids)]);
  return new Map(found.map(({ id, workshop }) => [id, workshop]));
}

const campaignRows = statement({ id: z.guid(), name: z.string() }, `SELECT id, name FROM campaign WHERE id IN ${idsIn("$1")}`);

/** The names of the campaigns that some of these defects are jobs of, by campaign. */
export async function campaignsBehind(
  db: Database,
  rows: readonly { readonly origin: string; readonly originId: string }[],
): Promise<Map<string, string>> {
  const ids = new Set(rows.flatMap(({ origin, originId }) => (origin === "campaign" ? [originId] : [])));
  const found = ids.size === 0 ? [] : await db.rows(campaignRows, [JSON.stringify([...ids])]);
  return new Map(found.map(({ id, name }) => [id, name]));
}

export type DefectRecord = Awaited<ReturnType<typeof findDefects>>[number];

/** A defect with its events and their entries, oldest first; null for an unknown one. */
export async function findDefectWithCourse(db: Database, defectId: string) {
  const row = await db.prisma.defect.findUnique({
    where: { id: defectId },
    include: { entry: true, events: { include: { entry: true }, orderBy: [{ recordedAt: "asc" }, { id: "asc" }] } },
  });
  return row && inWords(row);
}

const machineRows = statement(
  {
    id: z.guid(),
    registrationMark: z.string(),
    /** of the depot where the machine is now, by whose days its defects count */
    timeZone: z.string(),
    /** the waits for a part that are not over, by defect id */
    waits: z.record(z.string(), z.strictObject({ recordId: z.guid(), expectedDay: z.iso.date() })).nullable(),
    /** the first looks of two at its defects, by defect id */
    looks: z
      .record(z.string(), z.strictObject({ finding: z.enum(["not-found", "minor"]), recordId: z.guid(), staffId: z.guid() }))
      .nullable(),
  },
  `SELECT m.id, m.registration_mark AS "registrationMark", d.time_zone AS "timeZone",
     (SELECT jsonb_object_agg(f->>'id', f->'firstLook') FROM jsonb_array_elements(${listIn("m.state", "defects")}) f
       WHERE f->>'id' IS NOT NULL AND f->'firstLook'->>'recordId' IS NOT NULL) AS looks,
     (SELECT jsonb_object_agg(f->>'id', f->'waiting') FROM jsonb_array_elements(${listIn("m.state", "defects")}) f
       WHERE f->>'id' IS NOT NULL AND f->'waiting'->>'recordId' IS NOT NULL AND f->'waiting'->'over' IS NULL) AS waits
   FROM machine m JOIN depot d ON d.id = m.depot_id
   WHERE m.id IN ${idsIn("$1")}`,
);
/** What an answer about a defect says of its machine. */
export type MachineOfDefect = Omit<RowOf<typeof machineRows>, "id">;

/** Machines by id. */
export async function machinesOf(db: Database, machineIds: readonly string[]): Promise<Map<string, MachineOfDefect>> {
  const rows = await db.rows(machineRows, [JSON.stringify([...new Set(machineIds)])]);
  return new Map(rows.map(({ id, ...machine }) => [id, machine]));
}

/** The depots with their time zones; null: all of them. */
export const zonesOfDepots = (db: Database, depotIds: readonly string[] | null): Promise<{ id: string; timeZone: string }[]> =>
  db.prisma.depot.findMany({
    where: depotIds === null ? {} : { id: { in: [...depotIds] } },
    select: { id: true, timeZone: true },
  });
