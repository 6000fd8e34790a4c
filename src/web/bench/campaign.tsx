// One campaign: what it is, which machines it covers, where its job stands on each, and its end.
import { useState } from "preact/hooks";
import { itemById } from "../../../shared/catalogue/sheet.ts";
import type { CampaignJob, CampaignWithProgress } from "../../../shared/contracts/campaigns.ts";
import { limits } from "../../../shared/contracts/limits.ts";
import type { Person } from "../../../shared/contracts/people.ts";
import { holds } from "../../../shared/rules/roles.ts";
import { itemName } from "../../../shared/words/item-words.ts";
import { useAct } from "../frame/act.ts";
import { call } from "../frame/call.ts";
import { Trouble, useLoaded, Waiting } from "../frame/parts.tsx";
import { to } from "../frame/route.ts";
import { language, paperAt, say, sayDay, sayMoment } from "../frame/words.ts";
import { howFar } from "./campaigns.tsx";

export function CampaignPage({ id, person }: { id: string; person: Person }) {
  const loaded = useLoaded((signal) => call<CampaignWithProgress>(`/v1/campaigns/${id}`, { signal }), [id]);
  const campaign = loaded.value;
  return (
    <div class="bench">
      <p>
        <a href={to("bench", "campaigns")}>{say("campaigns.title")}</a>
      </p>
      {campaign === null ? (
        <>
          <h1>{say("campaigns.campaign")}</h1>
          <Trouble error={loaded.error} again={loaded.reload} />
          {loaded.loading && <Waiting />}
        </>
      ) : (
        <>
          <About campaign={campaign} />
          <Progress jobs={campaign.progress} />
          <p>
            <a class="button" href={paperAt(`/v1/campaigns/${id}/report.pdf`)} target="_blank" rel="noopener">
              {say("campaigns.paper")}
            </a>
          </p>
          {holds(person, "manager") && campaign.ended === null && <End id={id} onDone={loaded.reload} />}
        </>
      )}
      <p class="small">{say("caution.line")}</p>
    </div>
  );
}

function About({ campaign }: { campaign: CampaignWithProgress }) {
  const { name, job, grounds, models, machines, depots, addedAt, addedBy, ended, itemId } = campaign;
  const item = itemId === null ? undefined : itemById(itemId);
  return (
    <>
      <h1 dir="auto">{name}</h1>
      <p>{howFar(campaign)}</p>
      {ended !== null && (
        <p class="notice" role="status">
          {say("campaigns.ended", { at: sayMoment(ended.at), name: ended.name, reason: ended.reason })}
        </p>
      )}
      <p class="said" dir="auto">
        {job}
      </p>
      {item !== undefined && (
        <p>{say("campaigns.about", { item: itemName(item.id, language()), competence: say(`competence.${item.competence}`) })}</p>
      )}
      <p>{say(`campaigns.stands.${grounds}`)}</p>
      <p>
        {say("campaigns.covers")}:{" "}
        <bdi>{[...models.map((model) => model.name), ...machines.map(({ registrationMark }) => registrationMark)].join(", ")}</bdi>
        {depots !== null && ` (${say("campaigns.covers.depots", { depots: depots.map((depot) => depot.name).join(", ") })})`}
      </p>
      <p class="small">{say("campaigns.added", { at: sayMoment(addedAt), name: addedBy.name })}</p>
    </>
  );
}

function Progress({ jobs }: { jobs: readonly CampaignJob[] }) {
  const several = new Set(jobs.map(({ depotId }) => depotId)).size > 1;
  return (
    <section>
      <h2>{say("campaigns.progress")}</h2>
      {jobs.length === 0 ? (
        <p>{say("campaigns.progress.none")}</p>
      ) : (
        // biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls has to be reached by the keyboard
        <section class="wide" tabIndex={0} aria-label={say("campaigns.progress")}>
          <table>
            <thead>
              <tr>
                <th scope="col">{say("campaigns.machine")}</th>
                <th scope="col">{say("campaigns.state")}</th>
                <th scope="col">{say("campaigns.model")}</th>
                {several && <th scope="col">{say("page.depot")}</th>}
              </tr>
            </thead>
            <tbody>
              {jobs.map((job) => (
                <tr key={job.machineId}>
                  <th scope="row" class="mono">
                    {job.defectId === null ? (
                      job.registrationMark
                    ) : (
                      <a href={to("bench", "defect", job.defectId)}>{job.registrationMark}</a>
                    )}
                  </th>
                  <td>
                    {sayState(job)}
                    {job.grounded && (
                      <>
                        {" · "}
                        <strong>{say("campaigns.keeps")}</strong>
                      </>
                    )}
                  </td>
                  <td>{job.model}</td>
                  {several && <td>{job.depot}</td>}
                </tr>
              ))}
            </tbody>
          </table>
        </section>
      )}
    </section>
  );
}

const sayState = ({ state, expectedDay, doneDay, doneBy, late }: CampaignJob): string => {
  const day = expectedDay ?? doneDay;
  const said = say(`campaigns.state.${state}`, { day: day === null ? "" : sayDay(day), name: doneBy ?? "" });
  return late ? `${said} · ${say("campaigns.is-late")}` : said;
};

function End({ id, onDone }: { id: string; onDone: () => void }) {
  const [reason, setReason] = useState("");
  const ended = useAct<CampaignWithProgress>(onDone);
  const submit = (event: Event) => {
    event.preventDefault();
    void ended.send(`/v1/campaigns/${id}/ending`, { reason: reason.trim() });
  };
  return (
    <details>
      <summary>{say("campaigns.end")}</summary>
      <form class="paper-form" onSubmit={submit}>
        <label>
          <span>{say("campaigns.end.reason")}</span>
          <textarea
            required
            dir="auto"
            rows={2}
            maxLength={limits.note}
            value={reason}
            onInput={(event) => setReason(event.currentTarget.value)}
          />
        </label>
        <p class="notice">{say("campaigns.end.follows")}</p>
        <Trouble error={ended.error} />
        <button type="submit" class="main" disabled={ended.busy}>
          {say("campaigns.end.do")}
        </button>
      </form>
    </details>
  );
}
