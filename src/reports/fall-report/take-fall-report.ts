import { readAs } from "../../../shared/records/index.ts";
import { standingAt } from "../../../shared/rules/standing.ts";
import type { Language } from "../../../shared/words/index.ts";
import { sayBent, sayHit } from "../../../shared/words/say-fall.ts";
import { allThatWasSeen, nameOfItem } from "../../../shared/words/say-reason.ts";
import { type AppContext, depotRulesOf, readMachineFacts } from "../../acts/index.ts";
import { type FallRow, showFall } from "../../defects/index.ts";
import { readStoredEntry } from "../../ledger/index.ts";
import type { ReportFile } from "../../pdf/index.ts";
import { namesOf } from "../../people/index.ts";
import type { Actor } from "../../platform/index.ts";
import { wordsFor } from "../../readiness/index.ts";
import { readRecordsOfDefect } from "../against-store.ts";
import { frameOfDepot, identityOf, personIn, reasonsOnReport } from "../collect-frame.ts";
import { collectPhotos } from "../collect-photos.ts";
import { recordTaken } from "../record-taken.ts";
import { fileNameOf } from "../rules.ts";
import { composeFallReport } from "./compose-fall-report.ts";
import type { FallReportFacts } from "./fall-facts.ts";

/** The report of one fall or collision, as it stands now. */
export async function takeFallReport(context: AppContext, actor: Actor, row: FallRow, language: Language): Promise<ReportFile> {
  const facts = await collect(context, row, language);
  const { id, machineId, depotId } = row;
  await recordTaken(context, actor, { paper: "fall-report", depotId, machineId, fallId: id });
  return { report: composeFallReport(facts), fileName: fileNameOf("pdf", "fall-report", row.registrationMark, id.slice(-8)) };
}

async function collect(context: AppContext, row: FallRow, language: Language): Promise<FallReportFacts> {
  const [fall, machine, photos, [record]] = await Promise.all([
    showFall(context, row),
    readMachineFacts(context, row.machineId, null),
    collectPhotos(context, row.id, null),
    readRecordsOfDefect(context.db, row.id, null, language),
  ]);
  if (!machine || !record) throw new Error(`fall ${row.id} is of no known machine`);
  const { inspection, told, reportedBy } = fall;
  const people = await namesOf(context.db, [reportedBy, ...(inspection === null ? [] : [inspection.staffId])]);
  const { standing, reasons } = standingAt(machine.state, context.clock.now(), depotRulesOf(machine));
  const frame = await frameOfDepot(context, machine.depot, language);
  return {
    frame,
    machine: identityOf(machine),
    happenedAt: row.performedAt,
    recordedAt: row.recordedAt,
    reportedBy: personIn(people, reportedBy),
    told: told && { ...told, hit: sayHit(told.hit, language), bent: told.bent.map((part) => sayBent(part, language)) },
    inspectedBetween: fall.inspectedBetween === null ? null : new Date(fall.inspectedBetween),
    inspection: inspection && {
      at: new Date(inspection.performedAt),
      by: personIn(people, inspection.staffId),
      found: await foundBy(context, inspection.id, language),
    },
    standingNow: { standing, reasons: reasonsOnReport(frame)((await wordsFor(context.db, reasons))(reasons)) },
    photos,
    record,
  };
}

/** What an inspection found, in words; null once what it said was forgotten. */
async function foundBy(
  context: AppContext,
  inspectionId: string,
  language: Language,
): Promise<NonNullable<FallReportFacts["inspection"]>["found"]> {
  const entry = await readStoredEntry(context.db.rows, inspectionId);
  const told = entry && readAs(["weekly-inspection"], entry);
  if (!told) return null;
  return told.data.outcome.defects.map(({ itemId, observationIds, category }) => ({
    item: nameOfItem(itemId, language),
    seen: allThatWasSeen(observationIds, language),
    category,
  }));
}
