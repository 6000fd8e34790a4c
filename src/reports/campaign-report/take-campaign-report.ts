import type { Language } from "../../../shared/words/index.ts";
import type { AppContext } from "../../acts/index.ts";
import { campaignWithProgress } from "../../campaigns/index.ts";
import type { ReportFile } from "../../pdf/index.ts";
import { namesOf } from "../../people/index.ts";
import type { Actor } from "../../platform/index.ts";
import { frameOfDepots, machineIdentities, personIn } from "../collect-frame.ts";
import { recordTaken } from "../record-taken.ts";
import { fileNameOf } from "../rules.ts";
import type { CampaignReportFacts } from "./campaign-facts.ts";
import { composeCampaignReport } from "./compose-campaign-report.ts";

/** The state of a campaign on the machines of the reader's depots, as it is now. */
export async function takeCampaignReport(context: AppContext, actor: Actor, id: string, language: Language): Promise<ReportFile> {
  const facts = await collect(context, actor, id, language);
  await recordTaken(context, actor, { paper: "campaign-report", depotId: null, campaignId: id });
  return { report: composeCampaignReport(facts), fileName: fileNameOf("pdf", "campaign", facts.name, id.slice(-8)) };
}

async function collect(context: AppContext, { depotIds }: Actor, id: string, language: Language): Promise<CampaignReportFacts> {
  const { frame, depots: covered } = await frameOfDepots(context, depotIds, language);
  const campaign = await campaignWithProgress(context, id, depotIds);
  const { name, job, grounds, dueDay, totals, models, machines, depots, addedAt, addedBy, ended, progress } = campaign;
  const [identities, people] = await Promise.all([
    machineIdentities(
      context.db,
      progress.map(({ machineId }) => machineId),
      { ofDepots: covered.length > 1, at: null },
    ),
    namesOf(context.db, [addedBy.staffId, ...(ended === null ? [] : [ended.staffId])]),
  ]);
  return {
    ...{ frame, name, job, grounds, dueDay, totals },
    covers: [...models.map((model) => model.name), ...machines.map(({ registrationMark }) => registrationMark)],
    depots: depots?.map((depot) => depot.name) ?? null,
    added: { at: new Date(addedAt), by: personIn(people, addedBy.staffId) },
    ended: ended && { at: new Date(ended.at), by: personIn(people, ended.staffId), reason: ended.reason },
    jobs: progress.flatMap(({ machineId, ...one }) => {
      const identity = identities.get(machineId)?.identity;
      return identity ? [{ ...one, machine: identity }] : [];
    }),
  };
}
