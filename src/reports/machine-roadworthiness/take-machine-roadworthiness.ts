import { localDay } from "../../../shared/rules/calendar.ts";
import type { Language } from "../../../shared/words/index.ts";
import type { AppContext, MachineFacts } from "../../acts/index.ts";
import type { ReportFile } from "../../pdf/index.ts";
import { type Actor, type Period, periodAsked } from "../../platform/index.ts";
import { momentAsked } from "../../readiness/index.ts";
import { asAt, recordTaken } from "../record-taken.ts";
import { asAtInName, fileNameOf } from "../rules.ts";
import { collectMachine } from "./collect-machine.ts";
import { composeMachineRoadworthiness } from "./compose-machine-roadworthiness.ts";

const usualDays = 30;

/** One machine from day to day, now or as at a moment. Throws `not-valid`, `period-not-valid`. */
export async function takeMachineRoadworthiness(
  context: AppContext,
  actor: Actor,
  facts: MachineFacts,
  asked: { readonly at?: string | undefined } & { [End in keyof Period]?: string | undefined },
  language: Language,
): Promise<ReportFile> {
  const now = context.clock.now();
  const at = momentAsked(now, asked.at);
  const { id: machineId, depotId, registrationMark } = facts.machine;
  const period = periodAsked(asked, localDay(at ?? now, facts.depot.timeZone), usualDays);
  const report = composeMachineRoadworthiness(await collectMachine(context, facts, period, at, language));
  await recordTaken(context, actor, { paper: "machine-roadworthiness", depotId, machineId, ...period, ...asAt(at) });
  return { report, fileName: fileNameOf("pdf", "roadworthiness", registrationMark, period.from, period.to, asAtInName(at)) };
}
