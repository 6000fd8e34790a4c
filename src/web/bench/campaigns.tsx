// The campaigns over machines of one's depots, each with how far it is; a manager adds one here.
import type { Campaign } from "../../../shared/contracts/campaigns.ts";
import type { Person } from "../../../shared/contracts/people.ts";
import { holds } from "../../../shared/rules/roles.ts";
import { callAll } from "../frame/call.ts";
import { Trouble, useLoaded, Waiting } from "../frame/parts.tsx";
import { go, to } from "../frame/route.ts";
import { say, sayCounted, sayDay, sayNumber } from "../frame/words.ts";
import { AddCampaign } from "./add-campaign.tsx";

const most = 1000;

export function CampaignsPage({ person }: { person: Person }) {
  const campaigns = useLoaded((signal) => callAll<Campaign>("/v1/campaigns", most, signal), []);
  return (
    <div class="bench">
      <p>
        <a href={to("bench")}>{say("bench.title")}</a>
      </p>
      <h1>{say("campaigns.title")}</h1>
      <p>{say("campaigns.lead")}</p>
      <Trouble error={campaigns.error} again={campaigns.reload} />
      {campaigns.value === null && campaigns.loading && <Waiting />}
      {campaigns.value?.length === 0 && <p>{say("campaigns.none")}</p>}
      <ul class="list jobs">
        {campaigns.value?.map((campaign) => (
          <li key={campaign.id} class="job">
            <p dir="auto">
              <strong>{campaign.name}</strong>
            </p>
            <p>{howFar(campaign)}</p>
            <a class="button main" href={to("bench", "campaign", campaign.id)}>
              {say("campaigns.open-job")}
              <span class="hidden">: {campaign.name}</span>
            </a>
          </li>
        ))}
      </ul>
      {holds(person, "manager") && (
        <details>
          <summary>{say("campaigns.add")}</summary>
          <AddCampaign onDone={({ id }) => go("bench", "campaign", id)} />
        </details>
      )}
    </div>
  );
}

/** How far a campaign is, in a line. */
export function howFar({ totals, dueDay, ended }: Campaign): string {
  const done = totals.done + totals["nothing-found"];
  return [
    ...(ended === null ? [] : [say("campaigns.is-ended")]),
    sayCounted("campaigns.done", done, { of: sayNumber(totals.machines - totals.left) }),
    say("campaigns.by", { day: sayDay(dueDay) }),
    ...(totals.late === 0 ? [] : [sayCounted("campaigns.late", totals.late)]),
    ...(totals.grounded === 0 ? [] : [sayCounted("campaigns.grounded", totals.grounded)]),
  ].join(" · ");
}
