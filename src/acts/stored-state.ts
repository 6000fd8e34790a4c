// A machine's state as it comes out of the database: checked once, here, before any rule sees it. What cannot be read becomes a state that
// cannot be judged, which grounds, so that one bad row is one grounded machine in every answer and never a list that fails.
import { categorySchema, competenceSchema } from "../../shared/contracts/common.ts";
import { quantitySchema } from "../../shared/contracts/quantities.ts";
import {
  type Away,
  type ClosedDefect,
  type HeldClearance,
  type HeldPapers,
  type MachineState,
  newMachineState,
  type OpenDefect,
  type OpenFall,
  type PutRightOnce,
} from "../../shared/rules/machine-state.ts";
import type { JudgedState } from "../../shared/rules/standing.ts";
import type { Gauged, ServiceContext } from "../platform/index.ts";

// Checks by hand: a board reads ten thousand states at once, and zod took five times as long for each.
type Check = (value: unknown) => boolean;
const text: Check = (value) => typeof value === "string";
const flag: Check = (value) => typeof value === "boolean";
// Rules compute days from these, so a text that is no time would throw in the middle of a rule.
// Parsing is slow beside a pattern, and nearly all of them match this one.
const usualDay = /^\d{4}-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])$/;
const usualInstant = /^\d{4}-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])T([01]\d|2[0-3]):[0-5]\d:[0-5]\d\.\d{3}Z$/;
const instant: Check = (value) => typeof value === "string" && (usualInstant.test(value) || !Number.isNaN(Date.parse(value)));
const day: Check = (value) => typeof value === "string" && usualDay.test(value);
const whole: Check = (value) => Number.isSafeInteger(value);
const count: Check = (value) => Number.isSafeInteger(value) && (value as number) >= 0;
const oneOf = (words: readonly string[]): Check => {
  const known = new Set<unknown>(words);
  return (value) => known.has(value);
};
const orNull =
  (check: Check): Check =>
  (value) =>
    value === null || check(value);
const ifThere =
  (check: Check): Check =>
  (value) =>
    value === undefined || check(value);
const listOf =
  (check: Check): Check =>
  (value) =>
    Array.isArray(value) && value.every(check);
/** Further members, written by an older or newer version of the service, are let through as they are. */
const shape = <Key extends string>(parts: Readonly<Record<Key, Check>>): Check => {
  const each = Object.entries(parts) as [Key, Check][];
  return (value) =>
    typeof value === "object" &&
    value !== null &&
    !Array.isArray(value) &&
    each.every(([key, check]) => check((value as Record<string, unknown>)[key]));
};

const openDefect = shape<keyof OpenDefect>({
  ...{ id: text, itemId: orNull(text), observationIds: listOf(text), category: oneOf(categorySchema.options) },
  ...{ status: oneOf(["open", "deferred", "repaired"]), seenAt: instant, lastSeenAt: instant, sightings: count, dueDay: orNull(day) },
  ...{ competence: oneOf(competenceSchema.options), secondPerson: flag, secondPersonItem: ifThere(flag), onlyNewPart: flag },
  quantity: orNull(oneOf(quantitySchema.options)),
  repair: orNull(shape({ id: text, staffId: text, performedAt: instant, alsoBy: ifThere(listOf(text)), workshop: ifThere(text) })),
  firstLook: ifThere(shape({ finding: oneOf(["not-found", "minor"]), recordId: text, staffId: text })),
  waiting: ifThere(shape({ recordId: text, expectedDay: day, over: ifThere(flag) })),
  campaign: ifThere(shape({ id: text, name: text })),
});
const heldPapers = shape<keyof HeldPapers>({
  ...{ kind: text, validFrom: ifThere(day), validTo: day, gaps: ifThere(listOf(shape({ after: day, before: day }))) },
  failed: ifThere(shape({ since: day, liftedFrom: ifThere(day) })),
});
const closedDefect = shape<keyof ClosedDefect>({
  ...{ id: text, itemId: orNull(text), observationIds: ifThere(listOf(text)), how: oneOf(["signed-off", "not-found"]) },
  ...{ closedAt: instant, recordId: text, campaign: ifThere(text) },
});
const clearance = shape<keyof HeldClearance>({
  ...{ checkId: text, riderId: text, decision: oneOf(["ride", "ride-with-defects"]), performedAt: instant, validUntil: instant },
});

const doneAt = shape({ km: whole, at: instant });

const judgedParts = {
  // SQL that picks members gives null for one that is not there.
  disposed: ifThere(orNull(shape({ since: instant, how: oneOf(["sold", "scrapped"]) }))),
  withdrawn: orNull(shape({ since: instant, reason: text })),
  away: ifThere(orNull(shape<keyof Away>({ recordId: text, workshop: text, since: instant, expectedDay: day }))),
  firstUseDue: orNull(oneOf(["new", "returned", "worked-on"])),
  lastInspectionAt: orNull(instant),
  papers: listOf(heldPapers),
  defects: listOf(openDefect),
  falls: ifThere(orNull(listOf(shape<keyof OpenFall>({ recordId: text, happenedAt: instant, recordedAt: instant })))),
};
const parts: Readonly<Record<keyof MachineState, Check>> = {
  ...judgedParts,
  firstUseSince: orNull(instant),
  putRight: ifThere(listOf(shape<keyof PutRightOnce>({ itemId: text, observationId: text, at: instant }))),
  closed: listOf(closedDefect),
  clearances: listOf(clearance),
  groundedAt: orNull(instant),
  movedAt: ifThere(instant),
  odometerKm: count,
  odometerAt: instant,
  oil: shape({ km: whole, at: instant, changed: flag }),
  services: ifThere((value) => typeof value === "object" && value !== null && Object.values(value).every(doneAt)),
  entered: ifThere(doneAt),
  recordedAt: instant,
  cannotBeJudged: ifThere(flag),
};
const isState = shape(parts);
const isJudged = shape(judgedParts);

/** Whether a state was found as it should be, and no act had to go on without it. */
export const isReadable = (stored: unknown): stored is MachineState => isState(stored) && (stored as MachineState).cannotBeJudged !== true;

/** The state as it is stored; where it cannot be read, one that says so, with what is left of the odometer and the oil. */
export function readState(stored: unknown): MachineState {
  if (isState(stored)) return stored as MachineState;
  const kept = (typeof stored === "object" && stored !== null ? stored : {}) as Record<string, unknown>;
  const left = <Key extends "recordedAt" | "odometerKm" | "odometerAt" | "oil" | "groundedAt">(key: Key, otherwise: MachineState[Key]) =>
    parts[key](kept[key]) ? (kept[key] as MachineState[Key]) : otherwise;
  const odometerKm = left("odometerKm", 0);
  const recordedAt = left("recordedAt", new Date(0).toISOString());
  return {
    ...newMachineState(odometerKm, recordedAt),
    firstUseDue: null,
    odometerAt: left("odometerAt", recordedAt),
    oil: left("oil", { km: odometerKm, at: recordedAt, changed: false }),
    groundedAt: left("groundedAt", null),
    cannotBeJudged: true,
  };
}

/** The part of a stored state that a standing follows from. */
export const readJudged = (stored: unknown): JudgedState => (isJudged(stored) ? (stored as JudgedState) : readState(null));

export type WithState<Row> = Omit<Row, "state"> & { readonly state: MachineState };

/** Rows as they come out of the database, each with its state read. */
export const withStates = <Row extends { readonly state: unknown }>(rows: readonly Row[]): WithState<Row>[] =>
  rows.map((row) => ({ ...row, state: readState(row.state) }));

/** SQL: whether a state is of a machine of the fleet, which was neither sold nor scrapped; one that cannot be read is. */
export const ofTheFleet = (state: string): string => `NOT (${state} ? 'disposed')`;

/** SQL: a list in a state, empty where there is none to be read. */
export const listIn = (state: string, field: keyof MachineState): string =>
  `CASE WHEN jsonb_typeof(${state}->'${field}') = 'array' THEN ${state}->'${field}' ELSE '[]' END`;

/** SQL: whether a state says a figure there. */
export const saysNumber = (state: string, field: keyof MachineState): string =>
  `CASE WHEN jsonb_typeof(${state}->'${field}') = 'number' THEN (${state}->>'${field}')::numeric BETWEEN 0 AND 2147483647 ELSE false END`;

/** SQL: a whole figure in a state, null where there is none to be read. */
export const numberIn = (state: string, field: keyof MachineState): string =>
  `CASE WHEN ${saysNumber(state, field)} THEN (${state}->>'${field}')::numeric::int END`;

// The alarm

/** Where it is noted which machines cannot be judged: in what acts share. */
interface Noting {
  readonly acts: { readonly unjudged: Set<string> };
}

/** Raises the alarm for each machine whose state cannot be read, once until it can be read again. */
export function noteUnjudged(
  { acts: { unjudged }, log }: Noting & Pick<ServiceContext, "log">,
  machines: readonly { id: string; state: MachineState }[],
): void {
  for (const { id, state } of machines) {
    if (state.cannotBeJudged !== true) unjudged.delete(id);
    else if (!unjudged.has(id)) {
      unjudged.add(id);
      log.error({ machineId: id }, "the stored state of a machine cannot be judged: it stands as grounded until npm run records:rebuild");
    }
  }
}

/** For `/metrics`. */
export const unjudgedGauge = ({ acts }: Noting): Gauged => ({
  name: "ferrule_machines_unjudged",
  help: "Machines whose stored state could not be read when it was last looked at; they stand as grounded until npm run records:rebuild",
  value: () => acts.unjudged.size,
});
