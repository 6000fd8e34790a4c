// Defects with their whole courses, as reports show them, put together from their rows and entries.
import { isKnownSheet, observationById, SHEET_VERSION } from "../../shared/catalogue/sheet.ts";
import type { Category } from "../../shared/contracts/common.ts";
import type { Reading } from "../../shared/contracts/quantities.ts";
import { isForgotten, type RecordContent, type RecordKind, read, readAs, type Said } from "../../shared/records/index.ts";
import { localDay } from "../../shared/rules/calendar.ts";
import { groundsSince, type Weight } from "../../shared/rules/grounded-since.ts";
import { judgeReading } from "../../shared/rules/judge-reading.ts";
import { grounds } from "../../shared/rules/machine-state.ts";
import { isWordKey, type Language, word, wordByKey } from "../../shared/words/index.ts";
import { allThatWasSeen, nameOfDefect } from "../../shared/words/say-reason.ts";
import type { Moment } from "../acts/index.ts";
import { type NamedPerson, namesOf, type SecretSet, secretsSetBefore } from "../people/index.ts";
import type { Database, Period } from "../platform/index.ts";
import { machineIdentities, personIn, secretSetOf } from "./collect-frame.ts";
import type { DefectCourse, FoundBy, Sighting } from "./defect-facts.ts";
import type { MachineIdentity, Person, ReadingTaken } from "./facts.ts";
import { modelThen } from "./rules.ts";
import { type CourseRow, type EventRow, type FindingRow, type IdentityRow, type ModelRow, readModels } from "./store.ts";

interface Known {
  readonly now: Date;
  readonly language: Language;
  readonly machines: ReadonlyMap<string, IdentityRow & { readonly identity: MachineIdentity }>;
  readonly models: ReadonlyMap<string, ModelRow>;
  readonly people: ReadonlyMap<string, NamedPerson>;
  /** by the id of what was signed */
  readonly secrets: ReadonlyMap<string, SecretSet>;
}

/** The courses of these rows, in their order, as at a moment. `ofDepots`: the report covers several depots, so each machine is shown with its own. */
export async function coursesFrom(
  db: Database,
  rows: readonly CourseRow[],
  { now, language, ...of }: { readonly now: Date; readonly at: Moment; readonly language: Language; readonly ofDepots: boolean },
): Promise<DefectCourse[]> {
  const machines = await machineIdentities(
    db,
    rows.map((row) => row.machineId),
    of,
  );
  const events = rows.flatMap((row) => row.events ?? []);
  const secrets = await secretsSetBefore(
    db,
    events.filter(({ kind }) => kind !== "sighting" && kind !== "note"),
  );
  const [models, people] = await Promise.all([
    readModels(db, [...new Set([...machines.values()].map(({ modelId }) => modelId))]),
    namesOf(db, [...rows.map((row) => row.reportedBy), ...events.map((event) => event.staffId)]),
  ]);
  const known: Known = { now, language, machines, people, secrets, models: new Map(models.map((model) => [model.id, model])) };
  return rows.map((row) => courseFrom(row, known));
}

/** An event with what its entry says; null if that was forgotten. That it happened, when and by whom stays. */
type EventWithContent<K extends RecordKind> = EventRow & { readonly told: RecordContent<K> | null };

const eventsOf = <K extends RecordKind>(row: CourseRow, kind: K): EventWithContent<K>[] =>
  (row.events ?? []).filter(({ entry }) => entry.kind === kind).map((event) => ({ ...event, told: readAs([kind], event.entry) }));

/** The weights of a defect: the one it was raised with, and one for each event that changed it. */
function weightsOf(row: CourseRow): Weight[] {
  const events = (row.events ?? []).map(({ recordedAt, entry }) => ({ at: new Date(recordedAt), entry }));
  return [{ at: row.recordedAt, entry: row.raised }, ...events].flatMap(({ at, entry }): Weight[] => {
    const told = read(entry);
    if (isForgotten(told)) return [];
    if ("defect" in told.data) return [{ at, category: told.data.defect.category }];
    const outcome = "outcome" in told.data ? told.data.outcome : undefined;
    return outcome && "defect" in outcome ? [{ at, category: outcome.defect.category }] : [];
  });
}

function courseFrom(row: CourseRow, known: Known): DefectCourse {
  const machine = known.machines.get(row.machineId);
  if (!machine) throw new Error(`defect ${row.id} is of no known machine`);
  const by = (staffId: string): Person => personIn(known.people, staffId);
  const done = (event: EventRow) => ({
    at: new Date(event.performedAt),
    by: by(event.staffId),
    ...secretSetOf(known.secrets.get(event.id)),
  });
  const raised = readAs(["defect-raised"], row.raised)?.data ?? null;
  const forgotten = word("record.forgotten", known.language);
  const reading = (event: EventRow, taken: Reading | null | undefined): ReadingTaken | null =>
    readingTaken(row, machine, known, { ...done(event), recordedAt: new Date(event.recordedAt) }, taken);
  const weights = weightsOf(row);
  const { category, status, competence } = row;
  const closed = status === "signed-off" || status === "not-found";
  const since = closed ? null : groundsSince(weights, row.dueDay, row.timeZone, known.now);
  return {
    id: row.id,
    machine: machine.identity,
    itemName: nameOfDefect(row, known.language),
    category,
    categorySource: categorySourceOf(row, raised, weights[0]?.category ?? category),
    status,
    grounds: grounds(category) || since !== null,
    isRecurring: row.recurringOf !== null,
    sightings: [
      sighting(
        { at: row.seenAt, by: by(row.reportedBy) },
        ...([row.origin, row.finding, raised === null ? forgotten : row.note, known.language] as const),
      ),
      ...eventsOf(row, "defect-sighted").map((event) => {
        const { origin, note } = event.told?.data ?? { origin: "report", note: forgotten };
        return sighting(done(event), origin, event.finding, note, known.language);
      }),
    ],
    arrivedAt: row.recordedAt,
    odometerKm: row.finding.odometerKm,
    dueDay: row.dueDay,
    regradings: regradingsOf(row, weights, done),
    ...decisionsOf(row, done),
    ...workAndEnding(row, { done, reading, forgotten }),
    competence,
    needsSecondPerson: row.secondPerson,
    flags: flagsOf(row, known.language),
  };
}

/** What was decided and noted, as far as its words are kept, and the part for which the defect waits now. */
function decisionsOf(
  row: CourseRow,
  done: Telling["done"],
): Pick<DefectCourse, "deferrals" | "waits" | "waiting" | "notes"> & { readonly forgotten: NonNullable<DefectCourse["forgotten"]> } {
  const waits = eventsOf(row, "defect-waiting").flatMap((event) => {
    if (event.told === null) return [];
    const { part, expectedDay, reason } = event.told.data.submitted;
    return [{ ...done(event), part, expectedDay, reason }];
  });
  return {
    deferrals: eventsOf(row, "defect-deferred").flatMap((event) => {
      if (event.told === null) return [];
      const { untilDay, reason } = event.told.data.submitted;
      return [{ ...done(event), untilDay, reason }];
    }),
    waits,
    waiting: row.expectedDay === null ? null : { part: waits[0]?.part ?? null, expectedDay: row.expectedDay },
    notes: eventsOf(row, "defect-noted").flatMap((event) =>
      event.told === null ? [] : [{ ...done(event), note: event.told.data.submitted.note }],
    ),
    forgotten: (["re-grade", "deferral", "waiting", "note"] as const).flatMap((kind) =>
      (row.events ?? []).flatMap((event) => (event.kind === kind && event.entry.data === null ? [{ ...done(event), kind }] : [])),
    ),
  };
}

/** How the events of one defect are put into facts: when and by whom, what was read, and what replaces forgotten words. */
interface Telling {
  readonly done: (event: EventRow) => { readonly at: Date; readonly by: Person };
  readonly reading: (event: EventRow, taken: Reading | null | undefined) => ReadingTaken | null;
  readonly forgotten: string;
}

/** What was done about a defect, and how it ended: repairs, looks that ended nothing, the finding that there was no fault, the sign-off. */
function workAndEnding(
  row: CourseRow,
  { done, reading, forgotten }: Telling,
): Pick<DefectCourse, "repairs" | "firstLooks" | "notFound" | "signOff"> {
  const looks = [...eventsOf(row, "defect-not-found"), ...eventsOf(row, "defect-regraded")].filter((event) => firstLookOf(event) !== null);
  const notFound = eventsOf(row, "defect-not-found").find((event) => firstLookOf(event) === null);
  const [signOff] = eventsOf(row, "defect-signed-off");
  return {
    repairs: eventsOf(row, "defect-repaired").map((event) => {
      const { submitted, inspection, outside } = event.told?.data ?? {};
      const parts = (submitted?.parts ?? []).map(({ name, quantity, number }) => ({ name, quantity, number: number ?? null }));
      return {
        ...done(event),
        ...(outside === undefined ? {} : { workshop: outside.workshop }),
        workDone: submitted?.workDone ?? forgotten,
        minutes: submitted?.minutes ?? null,
        parts,
        reading: afterWork(reading(event, submitted?.reading ?? inspection?.reading)),
      };
    }),
    firstLooks: looks.map((event) => ({
      ...done(event),
      finding: firstLookOf(event) ?? "not-found",
      reason: event.told?.data.submitted.reason ?? forgotten,
      reading: reading(event, event.told && "reading" in event.told.data.submitted ? event.told.data.submitted.reading : undefined),
    })),
    notFound: notFound
      ? {
          ...done(notFound),
          reason: notFound.told?.data.submitted.reason ?? forgotten,
          reading: reading(notFound, notFound.told?.data.submitted.reading ?? notFound.told?.data.inspection?.reading),
        }
      : null,
    signOff: signOff
      ? {
          ...done(signOff),
          statement: signOff.told === null ? forgotten : (signOff.told.data.submitted.statement ?? null),
          reading: afterWork(reading(signOff, signOff.told?.data.submitted.reading ?? signOff.told?.data.inspection?.reading)),
        }
      : null,
  };
}

const afterWork = (reading: ReadingTaken | null): ReadingTaken | null => reading && { ...reading, isAfterWork: true };

/** The event was the first look of two; null for any other, and where what it said was forgotten. */
const firstLookOf = ({ told }: EventWithContent<"defect-not-found" | "defect-regraded">): "not-found" | "minor" | null =>
  told?.data.outcome.defect.firstLook ?? null;

const foundBy = (origin: string): FoundBy =>
  origin === "daily-check" || origin === "weekly-inspection" || origin === "campaign" ? origin : "noticed";

function sighting(
  seen: { readonly at: Date; readonly by: Person },
  origin: string,
  finding: FindingRow | null,
  note: string | null,
  language: Language,
): Sighting {
  const { verdict } = finding ?? {};
  return {
    ...seen,
    found: foundBy(origin),
    observations: allThatWasSeen(finding?.observationIds ?? [], language),
    note,
    ...(verdict?.result === "defect" || verdict?.result === "corrected" ? { reading: { ...seen, verdict } } : {}),
  };
}

/** The sheet version that an observation was made on: what it means depends on that. */
const versionOf = ({ sheetVersion }: FindingRow): string =>
  sheetVersion !== null && isKnownSheet(sheetVersion) ? sheetVersion : SHEET_VERSION;

/** Which published text or limit gave the defect its weight when it was raised; null for words alone. */
function categorySourceOf({ finding, itemId }: CourseRow, raised: Said<"defect-raised"> | null, category: Category): string | null {
  const { verdict } = finding;
  const seen = (raised?.defect.observationIds ?? [])
    .map((id) => observationById(id, versionOf(finding)))
    .find((observation) => observation?.category === category);
  if (seen) return seen.source;
  const last = verdict?.asLeft ?? verdict?.asFound;
  return itemId !== null && verdict?.result === "defect" && last ? (last.categoryBy ?? last.limit).source : null;
}

/** The re-gradings, each with the category before it. */
function regradingsOf(
  row: CourseRow,
  weights: readonly Weight[],
  done: (event: EventRow) => { readonly at: Date; readonly by: Person },
): DefectCourse["regradings"] {
  return eventsOf(row, "defect-regraded").flatMap((event) => {
    if (event.told === null || firstLookOf(event) !== null) return [];
    const { category, reason } = event.told.data.submitted;
    const own = weights.findIndex(({ at }) => at.getTime() === new Date(event.recordedAt).getTime());
    return [{ ...done(event), from: weights[own - 1]?.category ?? category, to: category, reason }];
  });
}

/** What was unusual about its arrival, as text. */
function flagsOf({ finding, signedOffBetween }: CourseRow, language: Language): string[] {
  const flags = (finding.flags ?? []).map((flag) => (isWordKey(`flag.${flag}`) ? wordByKey(`flag.${flag}`, language) : flag));
  return signedOffBetween === null ? flags : [...flags, word("report.defect.closed-between", language)];
}

/**
 * A reading taken after the work, with the limit that it was compared with. The entry holds only the reading; it is judged here by the handbook
 * as it was when the entry arrived, for a rider alone or else laden, as the sign-off was judged.
 */
function readingTaken(
  row: CourseRow,
  { modelId }: IdentityRow,
  { models }: Known,
  { recordedAt, ...taken }: { readonly at: Date; readonly by: Person; readonly recordedAt: Date },
  reading: Reading | null | undefined,
): ReadingTaken | null {
  const model = models.get(modelId);
  const quantity = row.quantity ?? reading?.quantity ?? null;
  if (!reading || quantity === null || !model) return null;
  const { features, handbook, engineCc } = modelThen(model, recordedAt);
  const judge = (load: "solo" | "laden") =>
    judgeReading({
      quantity,
      reading: { asFound: reading.value, unit: reading.unit },
      features,
      handbook,
      engineCc,
      ruleSet: row.ruleSet,
      load,
    });
  const solo = judge("solo");
  const laden = solo.result === "defect" ? judge("laden") : solo;
  return { ...taken, verdict: laden.result === "defect" ? solo : laden };
}

/** Whether a moment lies within a period of the days of the depot where the defect was found. */
export const isIn =
  ({ timeZone }: Pick<CourseRow, "timeZone">, { from, to }: Period) =>
  (moment: Date): boolean => {
    const day = localDay(moment, timeZone);
    return day >= from && day <= to;
  };
