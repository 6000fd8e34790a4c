// The SQL of wear, pressure and the plan. It reads what other rooms wrote; what planning stores itself is in `allocation-store.ts`.
import { z } from "zod";
import { featuresSchema, handbookSchema, ruleSetSchema } from "../../shared/contracts/machine-model.ts";
import { groupBy } from "../../shared/group-by.ts";
import type { MachineState } from "../../shared/rules/machine-state.ts";
import { withdrawnSpans } from "../../shared/rules/withdrawn-spans.ts";
import { ofTheFleet, type WithState, withStates } from "../acts/index.ts";
import { type MachineEntry, odometerByHand, readMachineEntries } from "../fleet/index.ts";
import { asInstant, type Database, idsIn, instantText, type RowOf, statement } from "../platform/index.ts";
import type { WearRecords } from "./foresee.ts";
import { factsOf, wearingQuantities } from "./stretches.ts";

/** How far back readings are used: a stretch longer than a year has enough of them. */
const WEAR_DAYS = 366;
/** How far back daily checks are used, for the daily distance: four weeks and a day or two to spare. */
const CHECK_DAYS = 30;
const DAY_MS = 86_400_000;

export interface PlanDepot {
  readonly id: string;
  readonly name: string;
  readonly timeZone: string;
  readonly workshopHoursPerDay: number;
}

/** The depots of `ids`, or all (null), at most `take`. */
export async function findDepots(db: Database, ids: readonly string[] | null, take: number): Promise<PlanDepot[]> {
  const rows = await db.prisma.depot.findMany({ where: ids === null ? {} : { id: { in: [...ids] } }, take, orderBy: { name: "asc" } });
  return rows.map(({ id, name, timeZone, workshopHoursPerDay }) => ({
    ...{ id, name, timeZone },
    workshopHoursPerDay: workshopHoursPerDay.toNumber(),
  }));
}

const machineColumns = {
  ...{ id: z.guid(), registrationMark: z.string(), depotId: z.guid(), timeZone: z.string(), ruleSet: ruleSetSchema },
  ...{ engineCc: z.int().nullable(), features: featuresSchema, handbook: handbookSchema, state: z.unknown() },
};
const machineSql = `
SELECT m.id, m.registration_mark AS "registrationMark", m.depot_id AS "depotId", d.time_zone AS "timeZone", d.rule_set AS "ruleSet",
  o.engine_cc AS "engineCc", o.features, o.handbook, m.state
FROM machine m JOIN machine_model o ON o.id = m.model_id JOIN depot d ON d.id = m.depot_id`;
const machinesOfDepotRows = statement(
  machineColumns,
  `${machineSql} WHERE m.depot_id = $1::text::uuid AND ${ofTheFleet("m.state")} ORDER BY m.registration_mark`,
);
const machineRows = statement(machineColumns, `${machineSql} WHERE m.id = $1::text::uuid`);

export type PlanMachineRow = WithState<RowOf<typeof machineRows>>;

/** The machines of a depot by registration mark. */
export const machinesOfDepot = async (db: Pick<Database, "rows">, depotId: string): Promise<PlanMachineRow[]> =>
  withStates(await db.rows(machinesOfDepotRows, [depotId]));

/** A machine, or null for an unknown one. */
export async function findMachine(db: Database, id: string): Promise<PlanMachineRow | null> {
  const [machine] = withStates(await db.rows(machineRows, [id]));
  return machine ?? null;
}

/** The ids of the first parameter, a JSON list. */
export const askedIds = idsIn("$1");

const inspectionRows = statement(
  {
    machineId: z.guid(),
    at: instantText,
    odometerKm: z.int(),
    flags: z.array(z.string()),
    readings: z.array(
      z.strictObject({ itemId: z.string(), asFound: z.number().nullable(), asLeft: z.number().nullable(), replaced: z.boolean() }),
    ),
  },
  `
SELECT i.machine_id AS "machineId", ${asInstant("i.performed_at")} AS at, i.odometer_km AS "odometerKm", i.flags,
  (SELECT coalesce(jsonb_agg(jsonb_build_object('itemId', a.item_id, 'asFound', coalesce(a.as_found, v.as_found), 'asLeft', a.as_left,
      'replaced', coalesce(a.actions @> '["replaced"]', false)) ORDER BY a.place), '[]')
    FROM entry_answer a LEFT JOIN entry_verdict v ON v.id = i.id AND v.item_id = a.item_id AND a.as_found IS NULL
    WHERE a.id = i.id AND $3::text::jsonb ? a.item_id) AS readings
FROM weekly_inspection i
WHERE i.machine_id IN ${askedIds} AND i.performed_at >= $2::text::timestamptz
ORDER BY i.machine_id, i.performed_at`,
);

/** Repairs of wearing items, with the reading that was taken after the work, if one was. */
const repairRows = statement(
  {
    machineId: z.guid(),
    at: instantText,
    quantity: z.enum(wearingQuantities),
    itemId: z.string().nullable(),
    observationIds: z.array(z.string()),
    parts: z.int(),
    reading: z.number().nullable(),
  },
  `
SELECT d.machine_id AS "machineId", ${asInstant("e.performed_at")} AS at, d.quantity, d.item_id AS "itemId",
  to_jsonb(d.observation_ids) AS "observationIds", jsonb_array_length(coalesce(r.parts, '[]')) AS parts, r.reading
FROM defect d JOIN defect_event e ON e.defect_id = d.id AND e.kind = 'repair' JOIN entry_repair r ON r.id = e.id
WHERE d.machine_id IN ${askedIds} AND e.performed_at >= $2::text::timestamptz AND $3::text::jsonb ? d.quantity
ORDER BY d.machine_id, e.performed_at`,
);

/** Readings that closed a defect of a wearing item. `repairedAt`: its last repair, if that was not measured; null otherwise. */
const closingRows = statement(
  { machineId: z.guid(), at: instantText, quantity: z.enum(wearingQuantities), reading: z.number(), repairedAt: instantText.nullable() },
  `
SELECT d.machine_id AS "machineId", ${asInstant("d.closed_at")} AS at, d.quantity, (d.closing_reading->>'value')::float8 AS reading,
  ${asInstant(`(SELECT CASE WHEN r.reading IS NULL THEN e.performed_at END FROM defect_event e
    JOIN entry_repair r ON r.id = e.id WHERE e.defect_id = d.id AND e.kind = 'repair' ORDER BY e.performed_at DESC LIMIT 1)`)} AS "repairedAt"
FROM defect d
WHERE d.machine_id IN ${askedIds} AND d.closed_at >= $2::text::timestamptz AND $3::text::jsonb ? d.quantity AND d.closing_reading IS NOT NULL
ORDER BY d.machine_id, d.closed_at`,
);

const checkRows = statement(
  { machineId: z.guid(), at: instantText, odometerKm: z.int() },
  `
SELECT machine_id AS "machineId", ${asInstant("performed_at")} AS at, odometer_km AS "odometerKm"
FROM daily_check WHERE machine_id IN ${askedIds} AND performed_at >= $2::text::timestamptz
  AND NOT flags && ARRAY['odometer-backwards', 'odometer-jump', 'odometer-not-read']
ORDER BY machine_id, performed_at`,
);

/** What the records say about the wear of these machines up to `now`, by machine. */
export async function readWearRecords(db: Database, machines: readonly PlanMachineRow[], now: Date): Promise<Map<string, WearRecords>> {
  const machineIds = machines.map(({ id }) => id);
  const ids = JSON.stringify(machineIds);
  const since = (days: number): string => new Date(now.getTime() - days * DAY_MS).toISOString();
  const itemIds = JSON.stringify(wearingQuantities.map((quantity) => factsOf(quantity).itemId));
  const [inspections, repairs, closings, checks, entries] = await Promise.all([
    db.rows(inspectionRows, [ids, since(WEAR_DAYS), itemIds]),
    db.rows(repairRows, [ids, since(WEAR_DAYS), JSON.stringify(wearingQuantities)]),
    db.rows(closingRows, [ids, since(WEAR_DAYS), JSON.stringify(wearingQuantities)]),
    db.rows(checkRows, [ids, since(CHECK_DAYS)]),
    readMachineEntries(db, machineIds, null),
  ]);
  const of = {
    ...{ inspections: byMachine(inspections), repairs: byMachine(repairs), closings: byMachine(closings) },
    ...{ checks: byMachine(checks), entries: byMachine(entries) },
  };
  return new Map(
    machines.map(({ id, state }) => {
      const records: WearRecords = {
        inspections: of.inspections.get(id) ?? [],
        repairs: of.repairs.get(id) ?? [],
        closings: of.closings.get(id) ?? [],
        checks: of.checks.get(id) ?? [],
        ...entriesSay(of.entries.get(id) ?? [], state),
      };
      return [id, records];
    }),
  );
}

export const byMachine = <Row extends { readonly machineId: string }>(rows: readonly Row[]): Map<string, Row[]> =>
  groupBy(rows, ({ machineId }) => machineId);

function entriesSay(entries: readonly MachineEntry[], state: MachineState): Pick<WearRecords, "added" | "odometerSet" | "away"> {
  const { added, set } = odometerByHand(entries);
  return {
    added: added ?? { at: state.odometerAt, odometerKm: state.odometerKm },
    odometerSet: set,
    away: withdrawnSpans(entries.map(({ kind, at }) => ({ kind, at: at.toISOString() }))),
  };
}
