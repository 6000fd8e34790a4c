import type { MachineLabelsQuery } from "../../../shared/contracts/reports.ts";
import type { AppContext } from "../../acts/index.ts";
import type { ReportFile } from "../../pdf/index.ts";
import { type Actor, mustSeeDepot, platformErrors } from "../../platform/index.ts";
import { depotsOfReport, frameOfDepot } from "../collect-frame.ts";
import { fileNameOf } from "../rules.ts";
import { type LabelRow, readDepots, readLabels } from "../store.ts";
import { composeLabels } from "./compose-labels.ts";

/**
 * Labels to scan for the machines of a depot, of the actor's view, or for one machine whose label is lost. `origin` is where the pages are
 * opened. Nothing of the records leaves with them, so taking them leaves no record. Throws `not-found`, `other-depot`.
 */
export async function takeLabels(context: AppContext, actor: Actor, asked: MachineLabelsQuery, origin: string): Promise<ReportFile> {
  const { frame, labels } = await (asked.machineId === undefined
    ? labelsOfDepots(context, actor, asked.depotId)
    : labelOfMachine(context, actor, asked.machineId));
  const name = asked.machineId === undefined ? frame.depotName : (labels[0]?.registrationMark ?? "");
  return { report: composeLabels({ frame, labels, origin }), fileName: fileNameOf("pdf", "labels", name) };
}

async function labelsOfDepots(context: AppContext, actor: Actor, depotId: string | undefined) {
  const { frame, depots } = await depotsOfReport(context, actor, depotId);
  return {
    frame,
    labels: await readLabels(
      context.db,
      depots.map(({ id }) => id),
    ),
  };
}

async function labelOfMachine(context: AppContext, actor: Actor, machineId: string) {
  const labels: LabelRow[] = await readLabels(context.db, null, machineId);
  const [depot] = labels[0] === undefined ? [] : await readDepots(context.db, [labels[0].depotId]);
  if (!depot) throw platformErrors.problem("not-found", "There is no machine with this id.");
  mustSeeDepot(actor, depot.id);
  return { frame: await frameOfDepot(context, depot), labels };
}
