import { localDay } from "../../../shared/rules/calendar.ts";
import { type AppContext, readMachineFacts } from "../../acts/index.ts";
import type { ReportFile } from "../../pdf/index.ts";
import { type Actor, mustSeeDepot, type Period, periodAsked, platformErrors } from "../../platform/index.ts";
import { momentAsked } from "../../readiness/index.ts";
import { asAt, recordTaken } from "../record-taken.ts";
import { asAtInName, fileNameOf } from "../rules.ts";
import { collectMachine } from "./collect-machine.ts";
import { composeMachineRoadworthiness } from "./compose-machine-roadworthiness.ts";

const usualDays = 30;

/** One machine from day to day, now or as at a moment. Throws `not-valid`, `not-found`, `other-depot`, `period-not-valid`. */
export async function takeMachineRoadworthiness(
  context: AppContext,
  actor: Actor,
  machineId: string,
  asked: { readonly at?: string | undefined } & { [End in keyof Period]?: string | undefined },
): Promise<ReportFile> {
  const now = context.clock.now();
  const at = momentAsked(now, asked.at);
  const facts = await readMachineFacts(context, machineId, at);
  if (!facts)
    throw platformErrors.problem(
      "not-found",
      at === null ? "There is no machine with this id." : "There was no machine with this id at that moment.",
    );
  const { depotId, registrationMark } = facts.machine;
  mustSeeDepot(actor, depotId);
  const period = periodAsked(asked, localDay(at ?? now, facts.depot.timeZone), usualDays);
  const report = composeMachineRoadworthiness(await collectMachine(context, facts, period, at));
  await recordTaken(context, actor, { paper: "machine-roadworthiness", depotId, machineId, ...period, ...asAt(at) });
  return { report, fileName: fileNameOf("pdf", "roadworthiness", registrationMark, period.from, period.to, asAtInName(at)) };
}
