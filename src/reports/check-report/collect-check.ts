// What the papers about a check and about an inspection collect alike: the machine as it was when the record arrived, answers in the order of
// the walk, what came of the findings, corrections and photos.
import { isKnownSheet, itemsFor } from "../../../shared/catalogue/sheet.ts";
import type { SheetKind } from "../../../shared/catalogue/types.ts";
import type { Features } from "../../../shared/contracts/machine-model.ts";
import { groupBy } from "../../../shared/group-by.ts";
import { isWordKey, type Language, wordByKey } from "../../../shared/words/index.ts";
import { itemPrompt } from "../../../shared/words/item-words.ts";
import { allThatWasSeen, nameOfItem } from "../../../shared/words/say-reason.ts";
import { type AppContext, type KnownEntry, type MachineFacts, readMachineFacts } from "../../acts/index.ts";
import type { CheckRow, InspectionRow } from "../../checks/index.ts";
import { namesOf } from "../../people/index.ts";
import { photosOfEach } from "../../photos/index.ts";
import { readRecord } from "../against-store.ts";
import { frameOfDepot, identityOf, personIn } from "../collect-frame.ts";
import { type CorrectionRow, correctionsOf } from "../correction-store.ts";
import { modelThen } from "../rules.ts";
import { type ModelRow, readModels } from "../store.ts";
import type { AnswerOnReport, CameOfIt, CheckBase } from "./check-facts.ts";

type CheckEntry = KnownEntry<"daily-check" | "weekly-inspection">;
type Submitted = CheckEntry["data"]["submitted"]["answers"][number];

export interface CheckCollected {
  readonly base: CheckBase;
  /** as they were when the record arrived */
  readonly facts: MachineFacts;
  readonly model: Pick<ModelRow, "features" | "handbook">;
}

export async function collectCheck(
  context: AppContext,
  row: CheckRow | InspectionRow,
  told: CheckEntry["data"] | null,
  language: Language,
): Promise<CheckCollected> {
  const { id, machineId, staffId, performedAt, recordedAt, odometerKm, defectCount } = row;
  const [facts, record, corrections, hung] = await Promise.all([
    readMachineFacts(context, machineId, recordedAt),
    readRecord(context.db, id, language),
    correctionsOf(context.db, id),
    photosOfEach(context.db, [id]),
  ]);
  const { photos, photosAwaited } = hung(id);
  const [model] = facts ? await readModels(context.db, [facts.model.id]) : [];
  if (!facts || !record || !model) throw new Error(`check ${id} is of no known machine`);
  const people = await namesOf(context.db, [staffId, ...corrections.map((one) => one.staffId), ...photos.map(({ addedBy }) => addedBy)]);
  const itemOf = new Map(
    (told?.submitted.answers ?? []).flatMap(({ itemId, photoIds }) => (photoIds ?? []).map((photo) => [photo, itemId])),
  );
  return {
    facts,
    model: modelThen(model, recordedAt),
    base: {
      frame: await frameOfDepot(context, facts.depot, language),
      ...{ record, machine: identityOf(facts), performedAt, odometerKm, defectCount },
      arrivedAt: told?.arrivedAt === undefined ? recordedAt : new Date(told.arrivedAt),
      by: personIn(people, staffId),
      flags: row.flags.map((flag) => (isWordKey(`flag.${flag}`) ? wordByKey(`flag.${flag}`, language) : flag)),
      corrections: corrections.map((one) => correctionFrom(one, personIn(people, one.staffId))),
      photos: {
        photos: photos.map(({ id: photoId, sha256, addedBy, addedAt }) => {
          const itemId = itemOf.get(photoId);
          const named = itemId === undefined ? null : nameOfItem(itemId, language);
          return { sha256, itemName: named, by: personIn(people, addedBy), at: new Date(addedAt) };
        }),
        awaitedCount: photosAwaited.length,
      },
    },
  };
}

const correctionFrom = ({ submitted, was, recordedAt: at }: CorrectionRow, by: CheckBase["by"]): CheckBase["corrections"][number] => ({
  pointer: submitted.pointer ?? null,
  was: typeof was === "string" ? was : JSON.stringify(was ?? null),
  right: String(submitted.right),
  ...{ reason: submitted.reason, by, at },
});

/** What a body that had to be changed said before, and what it said on which sheet. */
export const onSheet = ({ submitted, sheetSha256, asSent }: CheckEntry["data"]) => ({
  sheet: { version: submitted.sheetVersion, sha256: sheetSha256 ?? null },
  asSent: asSent === undefined ? null : { sha256: asSent.sha256, parts: asSent.parts.map((part) => ({ ...part })) },
});

/** Every answer, in the order of the walk, with the items of the sheet that nobody answered; what is on no sheet comes last. */
export function answersOnReport(
  kind: SheetKind,
  { submitted }: CheckEntry["data"],
  features: Features,
  judged: ReadonlySet<string>,
  language: Language,
): AnswerOnReport[] {
  const { sheetVersion } = submitted;
  const sheet = isKnownSheet(sheetVersion) ? itemsFor(features, kind, sheetVersion).map(({ id }) => id) : [];
  const answers: readonly Submitted[] = submitted.answers;
  const given = groupBy(answers, ({ itemId }) => itemId);
  const shown = (answer: Submitted) => answerFrom(answer, judged.has(answer.itemId), language);
  return [
    ...sheet.flatMap((itemId) => given.get(itemId)?.map(shown) ?? [unanswered(itemId, language)]),
    ...answers.filter(({ itemId }) => !sheet.includes(itemId)).map(shown),
  ];
}

const promptOf = (itemId: string, language: Language): string =>
  isWordKey(`item.${itemId}.prompt`) ? itemPrompt(itemId, language) : nameOfItem(itemId, language);

const unanswered = (itemId: string, language: Language): AnswerOnReport => ({
  ...{ prompt: promptOf(itemId, language), result: "none", seen: [], note: null, photoCount: 0, unjudged: null, actions: [] },
});

function answerFrom(answer: Submitted, isJudged: boolean, language: Language): AnswerOnReport {
  const { itemId, result, observationIds = [], note, photoIds = [] } = answer;
  const sent =
    "asFound" in answer && answer.asFound !== undefined
      ? { value: answer.asFound, unit: answer.unit ?? null }
      : "reading" in answer && answer.reading !== undefined
        ? { value: answer.reading.value, unit: answer.reading.unit ?? null }
        : null;
  const actions = "actions" in answer ? (answer.actions ?? []) : [];
  return {
    ...{ prompt: promptOf(itemId, language), result, note: note ?? null, photoCount: photoIds.length },
    seen: allThatWasSeen(observationIds, language),
    unjudged: isJudged ? null : sent,
    actions: actions.map((action) => wordByKey(`bench.action.${action}`, language)),
  };
}

/** The defects that were opened or seen again. */
export const defectsOnReport = (defects: CheckEntry["data"]["outcome"]["defects"], language: Language): CameOfIt[] =>
  defects.map(({ id, itemId, observationIds, category, status, sighting, dueDay, recurringOf, signedOffBetween }) => {
    const what = sighting ? "seen-again" : "opened";
    return {
      itemName: nameOfItem(itemId, language),
      seen: allThatWasSeen(observationIds, language),
      ...{ category, dueDay, defectId: id, isRecurring: recurringOf !== null, closedBetween: signedOffBetween !== null },
      what: status === "repaired" ? `${what}-repaired` : what,
    };
  });
