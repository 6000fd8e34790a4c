import type { Language } from "../../../shared/words/index.ts";
import type { AppContext, Moment } from "../../acts/index.ts";
import { actsDone, defectsFound, figuresFrom, sumService } from "../../figures/index.ts";
import type { ReportFile } from "../../pdf/index.ts";
import { type Actor, latestDay, type Period, periodAsked, type View } from "../../platform/index.ts";
import { momentAsked, readStandings } from "../../readiness/index.ts";
import { coursesFrom } from "../collect-courses.ts";
import { type DepotsOfReport, depotsOfReport, machineIdentities, reasonsOnReport } from "../collect-frame.ts";
import type { DefectSummaryFacts } from "../defect-facts.ts";
import { reportErrors } from "../errors.ts";
import { asAt, recordTaken } from "../record-taken.ts";
import { asAtInName, fileNameOf, momentOf } from "../rules.ts";
import { readCourses } from "../store.ts";
import { composeDefectSummary } from "./compose-defect-summary.ts";

const usualDays = 7;
// More defects than this would be no summary, and all of them are in memory while it is drawn.
const mostDefects = 5000;

/** All defects of a view over a period, now or as at a moment. Throws `not-valid`, `not-found`, `period-not-valid`, `period-too-long`. */
export async function takeDefectSummary(
  context: AppContext,
  actor: Actor,
  view: View,
  asked: { readonly at?: string | undefined } & { [End in keyof Period]?: string | undefined },
  language: Language,
): Promise<ReportFile> {
  const now = context.clock.now();
  const at = momentAsked(now, asked.at);
  const depots = await depotsOfReport(context, view, language, at);
  const period = periodAsked(
    asked,
    latestDay(
      at ?? now,
      depots.depots.map(({ timeZone }) => timeZone),
    ),
    usualDays,
  );
  const facts = await collect(context, view, depots, period, at);
  const report = composeDefectSummary(facts);
  await recordTaken(context, actor, { paper: "defect-summary", depotId: view.asked ?? null, ...period, ...asAt(at) });
  return { report, fileName: fileNameOf("pdf", "defect-summary", facts.frame.depotName, period.from, period.to, asAtInName(at)) };
}

async function collect(
  context: AppContext,
  view: View,
  { frame, depots }: DepotsOfReport,
  period: Period,
  at: Moment,
): Promise<DefectSummaryFacts> {
  const { db } = context;
  const counted = { depots, periods: [period], now: momentOf(frame), at };
  const [found, done, service] = await Promise.all([defectsFound(db, counted), actsDone(db, counted), sumService(db, counted)]);
  const closings = done.filter(({ kind }) => kind !== "repair");
  if (found.length > mostDefects || closings.length > mostDefects) {
    throw reportErrors.problem(
      "period-too-long",
      `More than ${mostDefects} defects were found or cleared in these days. Ask for fewer days, or one depot.`,
    );
  }
  const [rows, closedRows] = await Promise.all([
    readCourses(
      db,
      found.map(({ id }) => id),
      at,
    ),
    readCourses(
      db,
      closings.map(({ defectId }) => defectId),
      at,
    ),
  ]);
  const told = { now: momentOf(frame), at, language: frame.language, ofDepots: depots.length > 1 };
  const { lines } = await readStandings(context, view, at ?? undefined);
  const sayAll = reasonsOnReport(frame);
  const grounded = lines.filter(({ standing }) => standing === "grounded");
  const [defects, closed, machines] = await Promise.all([
    coursesFrom(db, rows, told),
    coursesFrom(db, closedRows, told),
    machineIdentities(
      db,
      grounded.map(({ machine }) => machine.id),
      told,
    ),
  ]);
  return {
    frame,
    ...period,
    grounded: grounded.flatMap(({ machine, reasons, groundedAt: since }) => {
      const identity = machines.get(machine.id)?.identity;
      return identity && since ? [{ machine: identity, since, reasons: sayAll(reasons) }] : [];
    }),
    defects,
    closed,
    figures: figuresFrom(service, found, done),
  };
}
