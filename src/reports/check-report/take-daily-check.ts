import { type RecordContent, readAs } from "../../../shared/records/index.ts";
import type { Language } from "../../../shared/words/index.ts";
import { allThatWasSeen, nameOfItem } from "../../../shared/words/say-reason.ts";
import type { AppContext } from "../../acts/index.ts";
import type { CheckRow } from "../../checks/index.ts";
import type { ReportFile } from "../../pdf/index.ts";
import type { Actor } from "../../platform/index.ts";
import { wordsFor } from "../../readiness/index.ts";
import { reasonsOnReport } from "../collect-frame.ts";
import { recordTaken } from "../record-taken.ts";
import { fileNameOf } from "../rules.ts";
import type { CameOfIt, DailyCheckFacts, ReadingOnReport } from "./check-facts.ts";
import { answersOnReport, type CheckCollected, collectCheck, defectsOnReport, onSheet } from "./collect-check.ts";
import { composeDailyCheckReport } from "./compose-daily-check.ts";

type Data = RecordContent<"daily-check">["data"];

/** The paper of one daily check, with what was corrected in it since. */
export async function takeDailyCheck(context: AppContext, actor: Actor, row: CheckRow, language: Language): Promise<ReportFile> {
  const facts = await collect(context, row, language);
  const { id, machineId, depotId } = row;
  await recordTaken(context, actor, { paper: "daily-check-report", depotId, machineId, checkId: id });
  const name = fileNameOf("pdf", "daily-check", facts.machine.registrationMark, id.slice(-8));
  return { report: composeDailyCheckReport(facts), fileName: name };
}

async function collect(context: AppContext, row: CheckRow, language: Language): Promise<DailyCheckFacts> {
  const data = readAs(["daily-check"], row.entry)?.data ?? null;
  const collected = await collectCheck(context, row, data, language);
  return {
    ...collected.base,
    durationSeconds: row.durationSeconds,
    decision: decisionOf(row.decision),
    validUntil: row.validUntil,
    told: data && (await toldBy(context, data, collected, language)),
  };
}

const decisionOf = (decision: string): DailyCheckFacts["decision"] =>
  decision === "ride" || decision === "ride-with-defects" ? decision : "do-not-ride";

async function toldBy(
  context: AppContext,
  data: Data,
  { base, model }: CheckCollected,
  language: Language,
): Promise<DailyCheckFacts["told"]> {
  const { submitted, outcome } = data;
  const { reasons } = outcome.clearance;
  const readings = readingsOf(data, base);
  const judged = new Set((outcome.putRight ?? []).flatMap(({ itemId, verdict }) => (verdict === null ? [] : [itemId])));
  return {
    ...onSheet(data),
    answers: answersOnReport("daily", data, model.features, judged, language),
    readings,
    cameOfIt: [...defectsOnReport(outcome.defects, language), ...ofRider(outcome.rider?.findings ?? [], language)],
    reasons: reasonsOnReport(base.frame)((await wordsFor(context.db, reasons))(reasons)),
    usualSeconds: outcome.pace?.usualSeconds ?? null,
    unjudgedProof: submitted.proof && !outcome.proof ? { value: submitted.proof.value, unit: submitted.proof.unit ?? null } : null,
  };
}

/** The reading of the day, and those after what was put right on the spot. */
function readingsOf({ submitted, outcome }: Data, { performedAt: at, by }: CheckCollected["base"]): ReadingOnReport[] {
  const taken = { method: null, places: [], celsius: null };
  const { proof } = outcome;
  return [
    ...(proof
      ? [
          {
            ...taken,
            reading: { at, by, verdict: proof },
            load: submitted.proof?.load ?? null,
            readTwice: submitted.proof?.readTwice ?? false,
          },
        ]
      : []),
    ...(outcome.putRight ?? []).flatMap(({ itemId, verdict, load }) => {
      const sent = submitted.answers.find((answer) => answer.itemId === itemId)?.reading;
      return verdict === null
        ? []
        : [{ ...taken, reading: { at, by, verdict, isAfterWork: true as const }, load, readTwice: sent?.readTwice ?? false }];
    }),
  ];
}

const ofRider = (findings: NonNullable<Data["outcome"]["rider"]>["findings"], language: Language): CameOfIt[] =>
  findings.map(({ itemId, observationIds, category }) => ({
    itemName: nameOfItem(itemId, language),
    seen: allThatWasSeen(observationIds, language),
    ...{ category, what: "rider", dueDay: null, isRecurring: false, closedBetween: false, defectId: null },
  }));
