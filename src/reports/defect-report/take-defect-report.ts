import { standingAt } from "../../../shared/rules/standing.ts";
import type { Language } from "../../../shared/words/index.ts";
import { type AppContext, depotRulesOf, type Moment, readMachineFacts } from "../../acts/index.ts";
import type { ReportFile } from "../../pdf/index.ts";
import type { Actor } from "../../platform/index.ts";
import { momentAsked, wordsFor } from "../../readiness/index.ts";
import { readRecordsOfDefect } from "../against-store.ts";
import { coursesFrom } from "../collect-courses.ts";
import { frameOfDepot, reasonsOnReport } from "../collect-frame.ts";
import { collectPhotos } from "../collect-photos.ts";
import type { DefectReportFacts } from "../defect-facts.ts";
import { asAt, recordTaken } from "../record-taken.ts";
import { asAtInName, fileNameOf } from "../rules.ts";
import type { CourseRow } from "../store.ts";
import { composeDefectReport } from "./compose-defect-report.ts";

/** The report of one defect, now or as at a moment. Throws `not-valid`. */
export async function takeDefectReport(
  context: AppContext,
  actor: Actor,
  row: CourseRow,
  asked: { readonly at?: string | undefined },
  language: Language,
): Promise<ReportFile> {
  const at = momentAsked(context.clock.now(), asked.at);
  const { facts, machineId, depotId } = await collect(context, row, at, language);
  const report = composeDefectReport(facts);
  await recordTaken(context, actor, { paper: "defect-report", depotId, machineId, defectId: row.id, ...asAt(at) });
  return {
    report,
    fileName: fileNameOf("pdf", "defect-report", facts.defect.machine.registrationMark, facts.defect.id.slice(-8), asAtInName(at)),
  };
}

async function collect(
  context: AppContext,
  row: CourseRow,
  at: Moment,
  language: Language,
): Promise<{ facts: DefectReportFacts; machineId: string; depotId: string }> {
  const { id: defectId } = row;
  const now = at ?? context.clock.now();
  const [[defect], machine, photos, [first, ...others]] = await Promise.all([
    coursesFrom(context.db, [row], { now, at, language, ofDepots: false }),
    readMachineFacts(context, row.machineId, at),
    collectPhotos(context, defectId, at),
    readRecordsOfDefect(context.db, defectId, at, language),
  ]);
  if (!defect || !machine || !first) throw new Error(`defect ${defectId} is of no known machine`);
  const { standing, reasons } = standingAt(machine.state, now, depotRulesOf(machine));
  const frame = await frameOfDepot(context, machine.depot, language, at);
  const facts: DefectReportFacts = {
    frame,
    records: [first, ...others],
    defect,
    standingNow: { standing, reasons: reasonsOnReport(frame)((await wordsFor(context.db, reasons))(reasons)) },
    photos,
  };
  return { facts, machineId: row.machineId, depotId: row.depotId };
}
