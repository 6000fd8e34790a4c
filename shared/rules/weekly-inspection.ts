// A weekly inspection judged: readings against handbook and law, what was put right on the spot, what stays open, what to do.
import { isKnownSheet, itemsFor, SHEET_VERSION } from "../catalogue/sheet.ts";
import type { Item } from "../catalogue/types.ts";
import type { WeeklyAnswer, WeeklyInspectionBody } from "../contracts/checks.ts";
import type { Competence } from "../contracts/common.ts";
import type { Features, RuleSet } from "../contracts/machine-model.ts";
import { type AdvisoryIssue, advisoriesAt, weighAdvisories } from "./advisories.ts";
import { type AnswerFlag, type AnswerIssue, itemFacts, weighAnswers } from "./answers.ts";
import { localDay } from "./calendar.ts";
import { afterRepair, inspectedOn } from "./course.ts";
import type { CheckedMachine, Raised } from "./daily-check.ts";
import { type DueAtItem, intervalDue, oilItemOf } from "./engine.ts";
import { type FieldFlag, readFieldRecord } from "./field-record.ts";
import { anyOverdue, groundedNow, recordFinding, replaceDefect } from "./findings.ts";
import { judgeReading } from "./judge-reading.ts";
import { type MachineState, type OpenDefect, withOilChange, withServices } from "./machine-state.ts";
import { foundOf } from "./places.ts";
import { itemsToFinish, type RecordedRepair, type Work, waitsAs, workAt } from "./put-right.ts";
import { type ReadingIssue, readingIssues } from "./reading-issues.ts";
import { type Found, findingsOf, verdictAt } from "./seen-and-measured.ts";
import { servicedItems, servicesAt } from "./services.ts";
import { type InspectedBy, type Settled, settleMinors } from "./settle-minor.ts";
import type { DepotRules } from "./standing.ts";
import type { ItemVerdict } from "./verdict.ts";

export interface InspectedMachine extends CheckedMachine {
  readonly engineCc: number | null;
  readonly ruleSet: RuleSet;
}

export type InspectionIssue = AnswerIssue | ReadingIssue | AdvisoryIssue;

/** What was found, with its repair where it was put right on the spot and waits for a sign-off. */
export type Inspected = Raised & { readonly repair: (RecordedRepair & { readonly defect: OpenDefect }) | null };

export type JudgedInspection =
  | { readonly refused: readonly InspectionIssue[] }
  | {
      readonly refused: null;
      readonly performedAt: Date;
      readonly localDay: string;
      readonly state: MachineState;
      /** it arrived late, and a minor defect is past its last day because of it */
      readonly grounded: boolean;
      /** open defects whose last day it brought forward */
      readonly moved: readonly string[];
      readonly verdicts: readonly ItemVerdict[];
      /** the odometer at which the oil was changed, if it was */
      readonly oilChangedAtKm: number | null;
      /** after this inspection; null where the handbook has no interval */
      readonly oil: DueAtItem | null;
      /** the items whose interval begins anew, and at which odometer; null where none does */
      readonly serviced: { readonly atKm: number; readonly itemIds: string[] } | null;
      /** after this inspection: what else the handbook has renewed or set by an interval */
      readonly services: readonly DueAtItem[];
      readonly raised: readonly Inspected[];
      /** items where what was loosened for other work has not been entered as tightened */
      readonly toFinish: readonly string[];
      /** minor defects that it closes: their part was left as it should be */
      readonly settled: readonly Settled[];
      readonly flags: readonly (AnswerFlag | FieldFlag)[];
    };

/**
 * Judges an inspection that arrived at `recordedAt`. The sheet has to be whole and its readings possible: whoever has the gauge in
 * hand is asked at once. A value found outside and left within is corrected and no defect where the signature covers it; else it opens as
 * a defect that is already repaired and waits for a sign-off. Minor defects of a part that was left as it should be are closed by it.
 */
export function judgeWeeklyInspection(
  machine: InspectedMachine,
  body: WeeklyInspectionBody,
  by: InspectedBy,
  recordedAt: Date,
  newId: () => string,
): JudgedInspection {
  const { depotRules } = machine;
  const sheet = sheetOfVersion(machine.features, body.sheetVersion);
  const weighed = weighAnswers("weekly", machine.features, body.sheetVersion, body.answers);
  const issues: InspectionIssue[] = [
    ...weighed.issues,
    ...body.answers.flatMap((answer, index) => readingIssues(answer, index, sheet.get(answer.itemId), machine.handbook)),
  ];
  if (issues.length > 0) return { refused: issues };

  const verdicts = body.answers.flatMap((answer) => verdictOf(machine, answer, sheet.get(answer.itemId)));
  const field = readFieldRecord(
    machine.state,
    { performedAt: new Date(body.performedAt), odometerKm: body.odometerKm },
    recordedAt,
    depotRules,
  );
  const { performedAt } = field;

  const day = localDay(performedAt, depotRules.timeZone);
  // The last day of its own findings follows from the next inspection, so this one counts before they are raised.
  const before = { ...machine.state, ...field.odometer };
  const doubted = field.flags.includes("odometer-backwards") || field.flags.includes("odometer-jump");
  const doneAtKm = doubted ? field.odometer.odometerKm : body.odometerKm;
  const oilChangedAtKm = oilWasChanged(machine.features, body.answers) ? doneAtKm : null;
  const serviced = servicedItems(body.answers);
  let state = inspectedOn(before, performedAt, day);
  if (oilChangedAtKm !== null) state = withOilChange(state, oilChangedAtKm, performedAt.toISOString());
  state = withServices(state, serviced, doneAtKm, performedAt.toISOString());
  const moved = state.defects.filter((defect, index) => defect.dueDay !== before.defects[index]?.dueDay).map(({ id }) => id);
  const seen = [
    ...findingsOf(weighed.findings, verdicts, sheet),
    ...waiting(body.answers, verdicts, weighed.findings, sheet, by.signer.competences, depotRules),
  ];
  const advisories = weighAdvisories(advisoriesAt(state, performedAt), body.answers, seen, sheet, by.signer.competences);
  if (advisories.issues.length > 0) return { refused: advisories.issues };
  const findings = [...seen, ...advisories.stays];
  const found = new Set(findings.map(({ itemId }) => itemId));
  const well = new Set(body.answers.filter(({ itemId, result }) => result === "ok" && !found.has(itemId)).map(({ itemId }) => itemId));
  const about = { sheet, well, gone: advisories.gone, answers: body.answers, verdicts, performedAt, recordedAt, by, depotRules, newId };
  const settled = settleMinors(state, about);
  state = settled.at(-1)?.state ?? state;
  const grounded = anyOverdue(state, recordedAt, depotRules) && !anyOverdue(before, recordedAt, depotRules);
  if (grounded) state = groundedNow(state, recordedAt);
  const raised = findings.map((finding): Inspected => {
    const one = raiseOrSight(state, finding, { body, verdicts, by, performedAt, recordedAt, depotRules, newId });
    state = one.state;
    return one;
  });
  return {
    refused: null,
    performedAt,
    localDay: day,
    state,
    grounded,
    moved,
    verdicts,
    oilChangedAtKm,
    oil: oilAt({ ...machine, state }, performedAt),
    serviced: serviced.length === 0 ? null : { atKm: doneAtKm, itemIds: serviced },
    services: servicesAt({ ...machine, state }, performedAt),
    raised,
    toFinish: itemsToFinish(body.answers, sheet),
    settled,
    flags: [...weighed.flags, ...field.flags],
  };
}

interface RaisedIn {
  readonly body: WeeklyInspectionBody;
  readonly verdicts: readonly ItemVerdict[];
  readonly by: InspectedBy;
  readonly performedAt: Date;
  readonly recordedAt: Date;
  readonly depotRules: DepotRules;
  readonly newId: () => string;
}

/** A finding taken into the state, with the work at its item as its repair; its `state` is the one after both. */
function raiseOrSight(state: MachineState, { note, index, ...finding }: Found, told: RaisedIn): Inspected {
  const { body, verdicts, by, performedAt, recordedAt, depotRules, newId } = told;
  const reported = recordFinding(state, finding, newId(), { seenAt: performedAt, recordedAt }, depotRules);
  const answer = body.answers.find(({ itemId }) => itemId === finding.itemId);
  const work = answer && workAt(answer, verdictAt(verdicts, finding.itemId));
  const saidBeside = { note, photoIds: body.answers[index]?.photoIds ?? [] };
  const isRepair = work && (!reported.defect.onlyNewPart || work.actions.includes("replaced"));
  if (!isRepair) return { ...reported, ...saidBeside, repair: null };
  const done = { id: newId(), staffId: by.answeredBy(finding.itemId), performedAt: performedAt.toISOString(), reading: work.reading };
  const defect = afterRepair(reported.defect, done);
  return { ...reported, ...saidBeside, state: replaceDefect(reported.state, defect), repair: { done, actions: work.actions, defect } };
}

/** What was put right at items where nothing else was found, and what the signature does not cover. */
export function waiting(
  answers: readonly WeeklyAnswer[],
  verdicts: readonly ItemVerdict[],
  found: readonly Found[],
  sheet: ReadonlyMap<string, Item>,
  competences: readonly Competence[],
  { policy }: DepotRules,
): Found[] {
  return answers.flatMap((answer, index) => {
    const item = sheet.get(answer.itemId);
    if (item === undefined || found.some(({ itemId }) => itemId === item.id)) return [];
    const verdict = verdictAt(verdicts, item.id);
    const work: Work | null = workAt(answer, verdict);
    const category = work && waitsAs(item, work, verdict, competences, policy.secondPerson, answers);
    if (category === null) return [];
    return [{ itemId: item.id, observationIds: [], category, ...itemFacts(item), onlyNewPart: false, note: answer.note ?? null, index }];
  });
}

/** The weekly items of this machine by id, on that version of the sheet, or on the newest where there is none. */
export function sheetOfVersion(features: Features, sheetVersion: string): ReadonlyMap<string, Item> {
  const version = isKnownSheet(sheetVersion) ? sheetVersion : SHEET_VERSION;
  return new Map(itemsFor(features, "weekly", version).map((item) => [item.id, item]));
}

/** Whether the oil was renewed at its item. Topping up is no change. */
export function oilWasChanged(features: Features, answers: readonly WeeklyAnswer[]): boolean {
  const oilItemId = oilItemOf(features);
  return answers.some(({ itemId, actions }) => itemId === oilItemId && actions?.includes("replaced") === true);
}

/** When the oil of this machine falls due, by distance or by days, whichever comes first; null where no interval is set or no oil is changed. */
export function oilAt(
  {
    features,
    handbook,
    state,
    depotRules,
  }: Pick<InspectedMachine, "features" | "handbook" | "state"> & { readonly depotRules: DepotRules },
  at: Date,
): DueAtItem | null {
  const itemId = oilItemOf(features);
  const interval = handbook.oilChange;
  if (itemId === null || interval === undefined) return null;
  const lastDay = localDay(new Date(state.oil.at), depotRules.timeZone);
  const due = intervalDue({
    ...{ lastKm: state.oil.km, lastDay, nowKm: state.odometerKm, today: localDay(at, depotRules.timeZone) },
    ...interval,
  });
  return { itemId, changed: state.oil.changed, ...due };
}

/** The oil of this machine and what else falls due by the handbook, whether it is due yet or not. */
export const dueBy = (machine: Parameters<typeof oilAt>[0], at: Date): DueAtItem[] =>
  [oilAt(machine, at) ?? [], servicesAt(machine, at)].flat();

/** The verdict on the reading of one answer; none where it has none. Its unit has to be one of the quantity (UnitError). */
export function verdictOf(machine: InspectedMachine, answer: WeeklyAnswer, item: Item | undefined): ItemVerdict[] {
  const asFound = item?.quantity === undefined ? undefined : foundOf(item.quantity, answer, machine.handbook);
  if (item?.quantity === undefined || asFound === undefined || answer.unit === undefined) return [];
  const reading = { asFound, unit: answer.unit, ...(answer.asLeft === undefined ? {} : { asLeft: answer.asLeft }) };
  const { features, engineCc, handbook, ruleSet } = machine;
  return [
    { itemId: item.id, ...judgeReading({ quantity: item.quantity, reading, features, engineCc, handbook, ruleSet, load: answer.load }) },
  ];
}
