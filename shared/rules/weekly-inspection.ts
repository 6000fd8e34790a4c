// A weekly inspection judged: readings against handbook and law, what was put right on the spot, what stays open, what to do.
import { isKnownSheet, itemsFor, SHEET_VERSION } from "../catalogue/sheet.ts";
import type { Item } from "../catalogue/types.ts";
import type { WeeklyAnswer, WeeklyInspectionBody } from "../contracts/checks.ts";
import type { Features, RuleSet } from "../contracts/machine-model.ts";
import { type AnswerFlag, type AnswerIssue, itemFacts, weighAnswers } from "./answers.ts";
import { localDay } from "./calendar.ts";
import { anyOverdue, type Finding, groundedNow, inspectedOn, report } from "./course.ts";
import type { CheckedMachine, Raised } from "./daily-check.ts";
import { type OilDue, oilChangeDue, oilItemOf } from "./engine.ts";
import { type FieldFlag, readFieldRecord } from "./field-record.ts";
import { judgeReading } from "./judge-reading.ts";
import { type MachineState, withOilChange, worse } from "./machine-state.ts";
import { foundOf } from "./places.ts";
import { type ReadingIssue, readingIssues } from "./reading-issues.ts";
import type { Place } from "./standing.ts";
import type { ReadingVerdict } from "./verdict.ts";

export interface InspectedMachine extends CheckedMachine {
  readonly engineCc: number | null;
  readonly ruleSet: RuleSet;
}

export interface ItemVerdict extends ReadingVerdict {
  readonly itemId: string;
}

export type InspectionIssue = AnswerIssue | ReadingIssue;

/** When the oil falls due; `changed` false: no change is on record, and it is counted from the entry into the fleet. */
export interface OilAtItem extends OilDue {
  readonly itemId: string;
  readonly changed: boolean;
}

export type JudgedInspection =
  | { readonly refused: readonly InspectionIssue[] }
  | {
      readonly refused: null;
      readonly performedAt: Date;
      readonly localDay: string;
      readonly state: MachineState;
      /** it arrived late, and a minor defect's day was over with it */
      readonly grounded: boolean;
      /** open defects whose last day it brought forward */
      readonly moved: readonly string[];
      readonly verdicts: readonly ItemVerdict[];
      /** the odometer at which the oil was changed, if it was */
      readonly oilChangedAtKm: number | null;
      /** after this inspection; null where the handbook has no interval */
      readonly oil: OilAtItem | null;
      readonly raised: readonly Raised[];
      readonly flags: readonly (AnswerFlag | FieldFlag)[];
    };

/**
 * Judges an inspection that arrived at `recordedAt`. The sheet has to be whole and its readings possible: the one with the gauge in
 * hand is asked at once. A value outside that was left within is corrected, not a defect.
 */
export function judgeWeeklyInspection(
  machine: InspectedMachine,
  body: WeeklyInspectionBody,
  recordedAt: Date,
  newId: () => string,
): JudgedInspection {
  const { place } = machine;
  const sheet = sheetOfVersion(machine.features, body.sheetVersion);
  const weighed = weighAnswers("weekly", machine.features, body.sheetVersion, body.answers);
  const issues: InspectionIssue[] = [
    ...weighed.issues,
    ...body.answers.flatMap((answer, index) => readingIssues(answer, index, sheet.get(answer.itemId), machine.handbook)),
  ];
  if (issues.length > 0) return { refused: issues };

  const verdicts = body.answers.flatMap((answer) => verdictOf(machine, answer, sheet.get(answer.itemId)));
  const field = readFieldRecord(machine.state, { performedAt: new Date(body.performedAt), odometerKm: body.odometerKm }, recordedAt, place);
  const { performedAt } = field;

  const day = localDay(performedAt, place.timeZone);
  // Its own findings are dated from the next inspection, so the inspection counts before they are raised.
  const before = { ...machine.state, ...field.odometer };
  const doubted = field.flags.includes("odometer-backwards") || field.flags.includes("odometer-jump");
  const oilChangedAtKm = oilWasChanged(machine.features, body.answers) ? (doubted ? field.odometer.odometerKm : body.odometerKm) : null;
  let state = inspectedOn(before, performedAt, day);
  if (oilChangedAtKm !== null) state = withOilChange(state, oilChangedAtKm, performedAt.toISOString());
  const grounded = anyOverdue(state, recordedAt, place) && !anyOverdue(before, recordedAt, place);
  if (grounded) state = groundedNow(state, recordedAt);
  const moved = state.defects.filter((defect, index) => defect.dueDay !== before.defects[index]?.dueDay).map(({ id }) => id);
  const raised = findingsOf(weighed.findings, verdicts, sheet).map(({ note, index, ...finding }): Raised => {
    const reported = report(state, finding, newId(), { seenAt: performedAt, recordedAt }, place);
    state = reported.state;
    return { ...reported, note, photoIds: body.answers[index]?.photoIds ?? [] };
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
    raised,
    flags: [...weighed.flags, ...field.flags],
  };
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
  { features, handbook, state, place }: Pick<InspectedMachine, "features" | "handbook" | "state"> & { readonly place: Place },
  at: Date,
): OilAtItem | null {
  const itemId = oilItemOf(features);
  const interval = handbook.oilChange;
  if (itemId === null || interval === undefined) return null;
  const lastDay = localDay(new Date(state.oil.at), place.timeZone);
  const due = oilChangeDue({
    ...{ lastKm: state.oil.km, lastDay, nowKm: state.odometerKm, today: localDay(at, place.timeZone) },
    ...interval,
  });
  return { itemId, changed: state.oil.changed, ...due };
}

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

type Found = Finding & { readonly itemId: string; readonly note: string | null; readonly index: number };

/** What was seen and what was measured at one item is one finding, with the worse category. */
export function findingsOf(seen: readonly Found[], verdicts: readonly ItemVerdict[], sheet: ReadonlyMap<string, Item>): Found[] {
  const measured = verdicts.filter((verdict) => verdict.result === "defect" && verdict.category !== null);
  const merged = seen.map((finding) => {
    const category = measured.find((verdict) => verdict.itemId === finding.itemId)?.category;
    return category ? { ...finding, category: worse(finding.category, category) } : finding;
  });
  const unseen = measured.filter((verdict) => !seen.some((finding) => finding.itemId === verdict.itemId));
  return [
    ...merged,
    ...unseen.map(
      (verdict): Found => ({
        itemId: verdict.itemId,
        observationIds: [],
        category: verdict.category ?? "major",
        ...itemFacts(sheet.get(verdict.itemId)),
        onlyNewPart: false,
        note: null,
        index: -1,
      }),
    ),
  ];
}
