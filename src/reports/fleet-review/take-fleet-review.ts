import type { Language } from "../../../shared/words/index.ts";
import type { AppContext } from "../../acts/index.ts";
import { checkHonesty, componentLife, controlCharts, defectRates, machineRisk } from "../../insight/index.ts";
import type { ReportFile } from "../../pdf/index.ts";
import { type Actor, latestDay, type View } from "../../platform/index.ts";
import { depotsOfReport } from "../collect-frame.ts";
import { daysOfMonth, monthIsOver } from "../month/month.ts";
import { recordTaken } from "../record-taken.ts";
import { fileNameOf } from "../rules.ts";
import { composeFleetReview } from "./compose-fleet-review.ts";

/** As many machines as a manager can look at first. */
const mostMachines = 10;

/** The review of a month, with figures that show how certain it is. Throws `not-found`, `period-not-valid`. */
export async function takeFleetReview(
  context: AppContext,
  actor: Actor,
  view: View,
  month: string,
  language: Language,
): Promise<ReportFile> {
  const { frame, depots } = await depotsOfReport(context, view, language);
  const today = latestDay(
    context.clock.now(),
    depots.map(({ timeZone }) => timeZone),
  );
  const period = daysOfMonth(month, today);
  const [honesty, rates, charts, life, risk] = await Promise.all([
    checkHonesty(context, view, period),
    defectRates(context, view, period),
    controlCharts(context, view, period),
    componentLife(context, view, { to: period.to }),
    machineRisk(context, view, { to: period.to, limit: mostMachines }),
  ]);
  const report = composeFleetReview({ frame, month, ...period, isOver: monthIsOver(month, today), honesty, rates, charts, life, risk });
  await recordTaken(context, actor, { paper: "fleet-review", depotId: view.asked ?? null, ...period });
  return { report, fileName: fileNameOf("pdf", "fleet-review", frame.depotName, month) };
}
