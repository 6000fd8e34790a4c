import type { Handbook } from "../../../shared/contracts/machine-model.ts";
import { type RecordContent, readAs } from "../../../shared/records/index.ts";
import { inspectionDueDay } from "../../../shared/rules/standing.ts";
import type { Language } from "../../../shared/words/index.ts";
import { sayGuidance } from "../../../shared/words/say-guidance.ts";
import { sayMethod } from "../../../shared/words/say-method.ts";
import { nameOfItem } from "../../../shared/words/say-reason.ts";
import { type AppContext, depotRulesOf } from "../../acts/index.ts";
import type { InspectionRow } from "../../checks/index.ts";
import type { ReportFile } from "../../pdf/index.ts";
import { namesOf, secretsSetBefore } from "../../people/index.ts";
import type { Actor } from "../../platform/index.ts";
import { wordsFor } from "../../readiness/index.ts";
import { personIn, reasonsOnReport, secretSetOf } from "../collect-frame.ts";
import { recordTaken } from "../record-taken.ts";
import { fileNameOf } from "../rules.ts";
import type { CameOfIt, ReadingOnReport, WeeklyInspectionFacts } from "./check-facts.ts";
import { answersOnReport, type CheckCollected, collectCheck, defectsOnReport, onSheet } from "./collect-check.ts";
import { composeWeeklyInspectionReport } from "./compose-weekly-inspection.ts";

type Data = RecordContent<"weekly-inspection">["data"];

/** The paper of one weekly inspection, with what was corrected in it since. */
export async function takeWeeklyInspection(context: AppContext, actor: Actor, row: InspectionRow, language: Language): Promise<ReportFile> {
  const facts = await collect(context, row, language);
  const { id, machineId, depotId } = row;
  await recordTaken(context, actor, { paper: "weekly-inspection-report", depotId, machineId, inspectionId: id });
  const name = fileNameOf("pdf", "weekly-inspection", facts.machine.registrationMark, id.slice(-8));
  return { report: composeWeeklyInspectionReport(facts), fileName: name };
}

async function collect(context: AppContext, row: InspectionRow, language: Language): Promise<WeeklyInspectionFacts> {
  const data = readAs(["weekly-inspection"], row.entry)?.data ?? null;
  const [collected, secrets] = await Promise.all([collectCheck(context, row, data, language), secretsSetBefore(context.db, [row])]);
  const lastInspectionAt = row.performedAt.toISOString();
  return {
    ...collected.base,
    ...secretSetOf(secrets.get(row.id)),
    nextBy: inspectionDueDay({ lastInspectionAt }, depotRulesOf(collected.facts)) ?? "",
    told: data && (await toldBy(context, data, collected, language)),
  };
}

async function toldBy(
  context: AppContext,
  data: Data,
  { base, model }: CheckCollected,
  language: Language,
): Promise<WeeklyInspectionFacts["told"]> {
  const { submitted, outcome, measuredBy = [], serviced, oilChangedAtKm } = data;
  const { standing, reasons } = outcome;
  const [people, inWords] = await Promise.all([
    namesOf(
      context.db,
      measuredBy.map(({ staffId }) => staffId),
    ),
    wordsFor(context.db, reasons),
  ]);
  const named = (itemIds: readonly string[]): string[] => itemIds.map((itemId) => nameOfItem(itemId, language));
  const isEvery = (itemIds: readonly string[]): boolean => submitted.answers.every(({ itemId }) => itemIds.includes(itemId));
  const judged = new Set(outcome.verdicts.map(({ itemId }) => itemId));
  return {
    ...onSheet(data),
    answers: answersOnReport("weekly", data, model.features, judged, language),
    readings: readingsOf(data, base, model.handbook, language),
    cameOfIt: [...defectsOnReport(outcome.defects, language), ...closedBy(data, language), ...advisoriesIn(data, language)],
    ...{ standing, oilChangedAtKm, reasons: reasonsOnReport(base.frame)(inWords(reasons)) },
    measuredBy: measuredBy.map(({ staffId, itemIds }) => ({
      by: personIn(people, staffId),
      itemNames: isEvery(itemIds) ? null : named(itemIds),
    })),
    serviced: serviced === undefined ? null : { atKm: serviced.atKm, itemNames: named(serviced.itemIds) },
    guidance: outcome.guidance.map((one) => ({ itemName: nameOfItem(one.itemId, language), text: sayGuidance(one, language).text })),
  };
}

/** Every reading by whoever took it, with the way in which the handbook of that day says that it is taken. */
function readingsOf(
  { submitted, outcome }: Data,
  { performedAt: at, by }: CheckCollected["base"],
  handbook: Handbook,
  language: Language,
): ReadingOnReport[] {
  const answers = new Map(submitted.answers.map((answer) => [answer.itemId, answer]));
  return outcome.verdicts.map((verdict) => {
    const { places = [], celsius = null, load = null, readTwice = false } = answers.get(verdict.itemId) ?? {};
    return { reading: { at, by, verdict }, method: sayMethod(verdict.quantity, handbook, language), places, celsius, load, readTwice };
  });
}

const untouched = { seen: [], dueDay: null, isRecurring: false, closedBetween: false };

const closedBy = ({ outcome }: Data, language: Language): CameOfIt[] =>
  (outcome.closed ?? []).map(({ id, itemId, status }) => ({
    ...{ ...untouched, itemName: nameOfItem(itemId, language), category: null, what: status, defectId: id },
  }));

/** What was said of each open advisory. */
const advisoriesIn = ({ submitted }: Data, language: Language): CameOfIt[] =>
  submitted.answers.flatMap(({ itemId, advisories = [] }) =>
    advisories.map(({ defectId, now }) => ({
      ...{ ...untouched, itemName: nameOfItem(itemId, language), category: "advisory" as const, what: now, defectId },
    })),
  );
