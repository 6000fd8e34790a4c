// Reading defects: the list, and one with its whole course.

import type { z } from "zod";
import { type CourseStep, courseStepSchema, type Defect, type defectListQuerySchema } from "../../shared/contracts/defects.ts";
import { groupBy } from "../../shared/group-by.ts";
import { endOfDay, localDay, startOfDay } from "../../shared/rules/calendar.ts";
import { grounds } from "../../shared/rules/machine-state.ts";
import { isSigned } from "../../shared/rules/secret.ts";
import { allThatWasSeen, nameOfItem } from "../../shared/words/say-reason.ts";
import type { AppContext } from "../acts/index.ts";
import { type Kind, sentenceOf } from "../ledger/index.ts";
import { besideAct, type SecretSet, secretsSetBefore } from "../people/index.ts";
import { photosOf } from "../photos/index.ts";
import { cursorFrom, momentAndIdSchema, objectOf, pageFrom, type View } from "../platform/index.ts";
import { partsAwaited } from "../readiness/index.ts";
import {
  campaignsBehind,
  type DefectRecord,
  dayOf,
  findDefects,
  findDefectWithCourse,
  type MachineOfDefect,
  machinesOf,
  type SeenIn,
  workshopsBehind,
  zonesOfDepots,
} from "./store.ts";

/** Defects of a view, newest first. Days are those of each defect's own depot. */
export async function listDefects(context: AppContext, { depotIds }: View, query: z.infer<typeof defectListQuerySchema>) {
  const filter = {
    depotIds,
    status: query.status,
    machineId: query.machineId,
    category: query.category,
    seen: query.from === undefined && query.to === undefined ? null : await seenBetween(context, depotIds, query),
  };
  const rows = await findDefects(context.db, filter, cursorFrom(query.cursor, momentAndIdSchema), query.limit);
  const machines = await machinesOf(
    context.db,
    rows.map((row) => row.machineId),
  );
  const beside = await besideThem(context, rows, machines);
  const now = context.clock.now();
  return pageFrom(
    rows,
    query.limit,
    (row) => [row.seenAt.toISOString(), row.id],
    (row) => defectAnswer(row, machines.get(row.machineId), beside, now),
  );
}

/** What stands beside the rows of defects. */
async function besideThem(
  { db }: AppContext,
  rows: readonly DefectRecord[],
  machines: ReadonlyMap<string, MachineOfDefect>,
): Promise<Beside> {
  const [parts, workshops, campaigns] = await Promise.all([
    partsAwaited(db, waitingOf(rows, machines)),
    workshopsBehind(db, rows),
    campaignsBehind(db, rows),
  ]);
  return { parts, workshops, campaigns };
}

/** Which of these defects wait for a part now. */
const waitingOf = (rows: readonly DefectRecord[], machines: ReadonlyMap<string, MachineOfDefect>): string[] =>
  rows.filter(({ id, machineId }) => machines.get(machineId)?.waits?.[id] !== undefined).map(({ id }) => id);

/** The days asked for as moments, for the depots of each time zone. */
async function seenBetween(
  context: AppContext,
  depotIds: readonly string[] | null,
  { from, to }: { readonly from?: string | undefined; readonly to?: string | undefined },
): Promise<SeenIn[]> {
  const depots = await zonesOfDepots(context.db, depotIds);
  return [...groupBy(depots, ({ timeZone }) => timeZone)].map(([zone, inZone]) => ({
    depotIds: inZone.map(({ id }) => id),
    from: from === undefined ? undefined : startOfDay(from, zone),
    before: to === undefined ? undefined : endOfDay(to, zone),
  }));
}

/** The defect at an address, with the depot where it was found. */
export const defect = objectOf({
  name: "defect",
  missing: "There is no defect with this id.",
  find: ({ db }: AppContext, id) => findDefectWithCourse(db, id),
  depotOf: ({ depotId }) => depotId,
});

type DefectWithCourse = NonNullable<Awaited<ReturnType<typeof findDefectWithCourse>>>;

/** One defect with its whole course. */
export async function showDefect(context: AppContext, row: DefectWithCourse) {
  const [machines, photos, secrets] = await Promise.all([
    machinesOf(context.db, [row.machineId]),
    photosOf(context.db, row.id),
    secretsSetBefore(context.db, row.events),
  ]);
  const beside = await besideThem(context, [row], machines);
  const raised = stepOf({ ...row.entry, kind: "raised", staffId: row.reportedBy }, row.entry, undefined);
  const steps = row.events.map((event) => stepOf(event, event.entry, isSigned(event.entry.kind) ? secrets.get(event.id) : undefined));
  return {
    ...defectAnswer(row, machines.get(row.machineId), beside, context.clock.now()),
    course: [raised, ...steps],
    ...photos,
  };
}

const stepOf = (
  step: { readonly id: string; readonly kind: string; readonly staffId: string; readonly performedAt: Date; readonly recordedAt: Date },
  entry: { readonly kind: string; readonly data: unknown },
  secret: SecretSet | undefined,
): CourseStep => ({
  id: step.id,
  kind: stepKind.parse(step.kind),
  sentence: sentenceOf(entry.kind as Kind),
  staffId: step.staffId,
  performedAt: step.performedAt.toISOString(),
  recordedAt: step.recordedAt.toISOString(),
  data: asWritten.parse(entry.data),
  ...besideAct(secret),
});

/** What an entry says is shown as it was written, whatever it is. */
const { kind: stepKind, data: asWritten } = courseStepSchema.shape;

/** The part for which one waits, by defect, the other workshop behind its repairer, and the campaign's name by campaign. */
interface Beside {
  readonly campaigns: ReadonlyMap<string, string>;
  readonly parts: ReadonlyMap<string, string>;
  readonly workshops: ReadonlyMap<string, string | null>;
}

function defectAnswer(row: DefectRecord, machine: MachineOfDefect | undefined, { parts, workshops, campaigns }: Beside, now: Date): Defect {
  const { category } = row;
  const repairedAt = row.repairedBy === null ? undefined : workshops.get(row.repairedBy);
  const dueDay = dayOf(row.dueDay);
  const wait = machine?.waits?.[row.id];
  const look = machine?.looks?.[row.id];
  const isOverdue = dueDay !== null && machine !== undefined && dueDay < localDay(now, machine.timeZone);
  return {
    id: row.id,
    machineId: row.machineId,
    registrationMark: machine?.registrationMark ?? "",
    depotId: row.depotId,
    itemId: row.itemId,
    item: row.itemId === null ? null : nameOfItem(row.itemId),
    observationIds: row.observationIds,
    observations: allThatWasSeen(row.observationIds),
    note: row.note,
    category,
    grounds: (grounds(category) || isOverdue) && row.closedAt === null,
    status: row.status,
    origin: row.origin,
    originId: row.originId,
    campaign: row.origin === "campaign" ? { id: row.originId, name: campaigns.get(row.originId) ?? "" } : null,
    reportedBy: row.reportedBy,
    seenAt: row.seenAt.toISOString(),
    recordedAt: row.recordedAt.toISOString(),
    competence: row.competence,
    secondPerson: row.secondPerson,
    quantity: row.quantity,
    dueDay,
    waiting: wait ? { expectedDay: wait.expectedDay, part: parts.get(row.id) ?? null } : null,
    firstLook: look ? { finding: look.finding, staffId: look.staffId } : null,
    recurringOf: row.recurringOf,
    signedOffBetween: row.signedOffBetween,
    sightings: row.sightings,
    repairedBy: repairedAt === undefined ? row.repairedBy : null,
    repairedAt: repairedAt ?? null,
    closedBy: row.closedBy,
    closedAt: row.closedAt?.toISOString() ?? null,
  };
}
