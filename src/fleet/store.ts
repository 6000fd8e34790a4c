// The only Prisma and SQL of the fleet.
import { z } from "zod";
import type { Depot, MachineModel, ModelBody } from "../../shared/contracts/fleet.ts";
import { featuresSchema, handbookSchema, ruleSetSchema } from "../../shared/contracts/machine-model.ts";
import { kindSchema } from "../../shared/records/index.ts";
import type { MachineState } from "../../shared/rules/machine-state.ts";
import { secondPersonSchema } from "../../shared/rules/policy.ts";
import { amendedSince, fieldThen, type Moment, ofTheFleet, stateThen, type WithState, withStates } from "../acts/index.ts";
import { type Ask, among, command, type Database, idsIn, type RowOf, statement, type Tx, takenIn } from "../platform/index.ts";

const dayOf = (day: string): Date => new Date(`${day}T00:00:00.000Z`);

// Unique names, by the names of their indexes in the migrations.
export const isDepotNameTaken = (error: unknown): boolean => takenIn(error) === "depot_name_key";
export const isModelNameTaken = (error: unknown): boolean => takenIn(error) === "machine_model_name_key";
export const isMarkTaken = (error: unknown): boolean => takenIn(error) === "machine_registration_mark_key";

// Depots

type DepotRow = Awaited<ReturnType<Tx["depot"]["findFirstOrThrow"]>>;

const depotOf = (row: DepotRow): Depot => ({
  id: row.id,
  name: row.name,
  timeZone: row.timeZone,
  ruleSet: ruleSetSchema.parse(row.ruleSet),
  workshopHoursPerDay: row.workshopHoursPerDay.toNumber(),
  secondPerson: secondPersonSchema.nullable().parse(row.secondPerson),
  clearanceOverMidnight: row.clearanceOverMidnight,
  addedAt: row.addedAt.toISOString(),
});

/** Depots by name, those of `ids` or all, after a name. */
export async function depotsAfter(db: Database, ids: readonly string[] | null, after: string | null, take: number): Promise<Depot[]> {
  const rows = await db.prisma.depot.findMany({
    where: { ...(ids ? { id: { in: [...ids] } } : {}), ...(after === null ? {} : { name: { gt: after } }) },
    orderBy: { name: "asc" },
    take,
  });
  return rows.map(depotOf);
}

export async function findDepot(db: Database, id: string): Promise<Depot | null> {
  const row = await db.prisma.depot.findUnique({ where: { id } });
  return row && depotOf(row);
}

export async function insertDepot(tx: Tx, depot: Depot): Promise<void> {
  await tx.depot.create({ data: { ...depot, addedAt: new Date(depot.addedAt) } });
}

const holdsDepot = command("SELECT id FROM depot WHERE id = $1::text::uuid FOR UPDATE");

/** The depot, held against other writers until the transaction ends. */
export async function holdDepot(db: Pick<Database, "rowsIn">, tx: Tx, id: string): Promise<Depot | null> {
  await db.rowsIn(tx)(holdsDepot, [id]);
  const row = await tx.depot.findUnique({ where: { id } });
  return row && depotOf(row);
}

export async function updateDepot(
  tx: Tx,
  { id, name, ruleSet, workshopHoursPerDay, secondPerson, clearanceOverMidnight }: Depot,
): Promise<void> {
  await tx.depot.update({ where: { id }, data: { name, ruleSet, workshopHoursPerDay, secondPerson, clearanceOverMidnight } });
}

// Models

type ModelRow = Awaited<ReturnType<Tx["machineModel"]["findFirstOrThrow"]>>;

const modelOf = (row: ModelRow): MachineModel => ({
  id: row.id,
  name: row.name,
  engineCc: row.engineCc,
  features: featuresSchema.parse(row.features),
  handbook: handbookSchema.parse(row.handbook),
  revision: row.revision,
  addedAt: row.addedAt.toISOString(),
});

export async function modelsAfter(db: Database, after: string | null, take: number): Promise<MachineModel[]> {
  const rows = await db.prisma.machineModel.findMany({
    where: after === null ? {} : { name: { gt: after } },
    orderBy: { name: "asc" },
    take,
  });
  return rows.map(modelOf);
}

export async function modelsOf(db: Database, ids: readonly string[]): Promise<MachineModel[]> {
  const rows = await db.prisma.machineModel.findMany({ where: { id: { in: [...ids] } }, orderBy: { name: "asc" } });
  return rows.map(modelOf);
}

export async function findModel(db: Database | { readonly prisma: Tx }, id: string): Promise<MachineModel | null> {
  const row = await db.prisma.machineModel.findUnique({ where: { id } });
  return row && modelOf(row);
}

export async function insertModel(tx: Tx, model: MachineModel): Promise<void> {
  await tx.machineModel.create({ data: { ...model, addedAt: new Date(model.addedAt) } });
}

/** Writes the next revision over `revision`; false where that is not the latest any more. */
export async function writeRevision(tx: Tx, id: string, revision: number, figures: ModelBody): Promise<boolean> {
  const { count } = await tx.machineModel.updateMany({ where: { id, revision }, data: { ...figures, revision: revision + 1 } });
  return count === 1;
}

// Machines

const machineColumns = {
  ...{ id: z.guid(), registrationMark: z.string(), vin: z.string().nullable(), modelId: z.guid(), modelName: z.string() },
  ...{ depotId: z.guid(), depotName: z.string(), timeZone: z.string(), ruleSet: ruleSetSchema },
  /** of its depot; null: as the firm's policy says */
  ...{ secondPerson: secondPersonSchema.nullable(), clearanceOverMidnight: z.boolean().nullable() },
  ...{ inServiceFrom: z.iso.date(), state: z.unknown() },
};
const machineSql = `
SELECT m.id, m.registration_mark AS "registrationMark", m.vin, m.model_id AS "modelId", o.name AS "modelName",
  m.depot_id AS "depotId", d.name AS "depotName", d.time_zone AS "timeZone", d.rule_set AS "ruleSet", d.second_person AS "secondPerson",
  d.clearance_over_midnight AS "clearanceOverMidnight", m.in_service_from::text AS "inServiceFrom", m.state
FROM machine m JOIN machine_model o ON o.id = m.model_id JOIN depot d ON d.id = m.depot_id`;
const machineRows = statement(machineColumns, `${machineSql} WHERE m.id = $1::text::uuid`);
const machinePageRows = statement(
  machineColumns,
  `${machineSql}
     WHERE ${among("m.depot_id", "$1")}
       -- Two have one mark where the earlier left the fleet.
       AND ($2::text IS NULL OR m.registration_mark > $2::text OR m.registration_mark = $2::text AND m.id > $8::text::uuid)
       AND CASE $7::text WHEN 'too' THEN true WHEN 'only' THEN NOT (${ofTheFleet("m.state")}) ELSE ${ofTheFleet("m.state")} END
       AND ($4::text IS NULL OR m.registration_mark = $4::text) AND ($5::text IS NULL OR m.vin = $5::text)
       -- Of a state that cannot be read nobody knows when it was written, and everybody has to hear.
       AND ($6::text IS NULL OR CASE WHEN m.state->>'recordedAt' ~ '^\\d{4}-\\d\\d-\\d\\dT\\d\\d:\\d\\d:\\d\\d\\.\\d{3}Z$'
         THEN m.state->>'recordedAt' COLLATE "C" > $6::text ELSE true END)
     ORDER BY m.registration_mark, m.id LIMIT $3::int`,
);
const carrierRows = statement(
  machineColumns,
  `${machineSql} CROSS JOIN LATERAL ${stateThen("m.id", "$3")} s CROSS JOIN LATERAL ${amendedSince("$3")} a
     WHERE ${among("m.depot_id", "$1")}
       AND ${fieldThen.registrationMark} = $2::text AND ${ofTheFleet("s.state")} ORDER BY m.id`,
);
export type MachineRow = WithState<RowOf<typeof machineRows>>;

export async function findMachine(db: Pick<Database, "rows">, id: string): Promise<MachineRow | null> {
  const [machine] = withStates(await db.rows(machineRows, [id]));
  return machine ?? null;
}

interface Wanted {
  readonly mark?: string | null;
  readonly vin?: string | null;
  readonly since?: string | null;
  readonly disposed?: "only" | "too" | null;
}

/**
 * Machines by registration mark, those of `depotIds` or all, after a place; with one mark or number only, where it is asked for, or only those of
 * which something was recorded `since`. Those that were sold or scrapped are left out unless `disposed` says otherwise.
 */
export async function machinesAfter(
  db: Database,
  depotIds: readonly string[] | null,
  after: readonly string[] | null,
  take: number,
  { mark = null, vin = null, since = null, disposed = null }: Wanted = {},
): Promise<MachineRow[]> {
  const moment = since && new Date(since).toISOString();
  const [afterMark = null, afterId = null] = after ?? [];
  const rows = await db.rows(machinePageRows, [
    ...[depotIds && JSON.stringify(depotIds), afterMark, take, mark, vin, moment, disposed, afterId],
  ]);
  return withStates(rows);
}

/** The machines of the fleet that carried a mark at a moment, as they are now. */
export const carriersOf = async (db: Database, depotIds: readonly string[] | null, mark: string, at: Date): Promise<MachineRow[]> =>
  withStates(await db.rows(carrierRows, [depotIds && JSON.stringify(depotIds), mark, at.toISOString()]));

/** The place of a machine in that order. */
export const placeOf = ({ registrationMark, id }: Pick<MachineRow, "registrationMark" | "id">): string[] => [registrationMark, id];

export interface NewsAsked {
  readonly machineId: string;
  /** today, where the machine stands */
  readonly day: string;
  /** when it was grounded, to find out by whom; null: not asked */
  readonly groundedAt: string | null;
}

const instantInJson = z.iso.datetime({ offset: true });
const newsRows = statement(
  {
    machineId: z.guid(),
    checkedToday: z.strictObject({ at: instantInJson, decision: z.enum(["ride", "ride-with-defects", "do-not-ride"]) }).nullable(),
    clearedAt: instantInJson.nullable(),
    groundedBy: z.guid().nullable(),
  },
  `SELECT a.machine_id AS "machineId",
       (SELECT jsonb_build_object('at', c.performed_at, 'decision', c.decision) FROM daily_check c
         WHERE c.machine_id = a.machine_id AND c.local_day = a.day AND c.staff_id <> $2::text::uuid ORDER BY c.performed_at DESC LIMIT 1) AS "checkedToday",
       (SELECT to_jsonb(c.performed_at)#>>'{}' FROM daily_check c
         WHERE c.machine_id = a.machine_id AND c.decision <> 'do-not-ride' ORDER BY c.performed_at DESC LIMIT 1) AS "clearedAt",
       (SELECT l.staff_id FROM ledger l
         WHERE l.chain_id = a.machine_id AND l.recorded_at = a.grounded_at ORDER BY l.position DESC LIMIT 1) AS "groundedBy"
     FROM jsonb_to_recordset($1::text::jsonb) AS a (machine_id uuid, day date, grounded_at timestamptz)`,
);
export type NewsRow = RowOf<typeof newsRows>;

/** Of each machine: the newest check of somebody else on that day, when anybody was cleared last, and who grounded it. */
export const readRecentNews = (db: Database, staffId: string, asked: readonly NewsAsked[]): Promise<NewsRow[]> =>
  db.rows(newsRows, [
    JSON.stringify(asked.map(({ machineId, day, groundedAt }) => ({ machine_id: machineId, day, grounded_at: groundedAt }))),
    staffId,
  ]);

const nameRows = statement(
  { id: z.guid(), name: z.string() },
  `SELECT l.id, s.name FROM ledger l JOIN staff s ON s.id = l.staff_id
     WHERE l.id IN ${idsIn("$1")}`,
);

/** The names of those who made these records. */
export async function namesBehind(db: Database, recordIds: readonly string[]): Promise<ReadonlyMap<string, string>> {
  if (recordIds.length === 0) return new Map();
  const rows = await db.rows(nameRows, [JSON.stringify(recordIds)]);
  return new Map(rows.map(({ id, name }) => [id, name]));
}

const markRows = statement(
  { mark: z.string() },
  `SELECT registration_mark AS mark FROM machine
     WHERE registration_mark IN (SELECT value FROM jsonb_array_elements_text($1::text::jsonb)) AND ${ofTheFleet("state")}`,
);

/** Which of these registration marks a machine of the fleet carries already. */
export async function marksTaken(db: Database, marks: readonly string[]): Promise<Set<string>> {
  const rows = await db.rows(markRows, [JSON.stringify(marks)]);
  return new Set(rows.map(({ mark }) => mark));
}

/** Names to ids, of all models and of all depots. */
export async function namesToIds(db: Database): Promise<{ models: Map<string, string>; depots: Map<string, string> }> {
  const select = { id: true, name: true };
  const models = await db.prisma.machineModel.findMany({ select });
  const depots = await db.prisma.depot.findMany({ select });
  const byName = (rows: readonly { id: string; name: string }[]) => new Map(rows.map(({ id, name }) => [name.normalize("NFC"), id]));
  return { models: byName(models), depots: byName(depots) };
}

/** A machine as it enters the fleet. */
export interface NewMachine {
  readonly id: string;
  readonly registrationMark: string;
  readonly vin: string | null;
  readonly modelId: string;
  readonly depotId: string;
  readonly inServiceFrom: string;
  readonly state: MachineState;
}

/** The rows of new machines, each with the first line of its state history; their chains begin with one entry. */
export async function insertMachines(tx: Tx, machines: readonly NewMachine[], recordedAt: Date): Promise<void> {
  await tx.machine.createMany({
    data: machines.map(({ inServiceFrom, state, ...machine }) => ({
      ...machine,
      inServiceFrom: dayOf(inServiceFrom),
      addedAt: recordedAt,
      recordCount: 1,
      state,
    })),
  });
  await tx.machineStateHistory.createMany({
    data: machines.map(({ id, depotId, state }) => ({
      machineId: id,
      position: 1,
      depotId,
      recordedAt,
      state,
    })),
  });
}

// History

const historyRows = statement(
  {
    ...{ id: z.guid(), position: z.int(), kind: kindSchema, performedAt: z.date(), recordedAt: z.date(), staffId: z.guid().nullable() },
    ...{ version: z.int(), data: z.record(z.string(), z.unknown()).nullable(), correctedBy: z.array(z.guid()) },
  },
  `SELECT id, position, kind, version, performed_at AS "performedAt", recorded_at AS "recordedAt", staff_id AS "staffId", data,
       coalesce((SELECT jsonb_agg(c.id ORDER BY c.position) FROM entry_correction c
         WHERE c.corrects = l.id::text AND ($4::text IS NULL OR c.recorded_at <= $4::text::timestamptz)),
         '[]') AS "correctedBy"
     FROM ledger l WHERE chain_id = $1::text::uuid AND ($2::int IS NULL OR position < $2::int)
       AND ($4::text IS NULL OR recorded_at <= $4::text::timestamptz)
     ORDER BY position DESC LIMIT $3::int`,
);
export type HistoryRow = RowOf<typeof historyRows>;

/** Entries of a machine's chain, newest first, before a position. */
export function entriesBefore(db: Database, machineId: string, before: number | null, take: number, at: Moment): Promise<HistoryRow[]> {
  return db.rows(historyRows, [machineId, before, take, at?.toISOString() ?? null]);
}

const anyDepotRows = statement({ id: z.guid() }, "SELECT id FROM depot WHERE id = $1::text::uuid");

/** Whether there is a depot with this id. */
export const hasDepot = async (ask: Ask, id: string): Promise<boolean> => (await ask(anyDepotRows, [id])).length > 0;
