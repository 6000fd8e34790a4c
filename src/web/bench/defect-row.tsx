// One open defect in a list, with what it waits for and the way to it.
import type { Defect } from "../../../shared/contracts/defects.ts";
import type { Person } from "../../../shared/contracts/people.ts";
import { holds } from "../../../shared/rules/roles.ts";
import { allThatWasSeen, nameOfDefect } from "../../../shared/words/say-reason.ts";
import { CategoryMark } from "../frame/parts.tsx";
import { to } from "../frame/route.ts";
import { language, say, sayDay, sayMoment } from "../frame/words.ts";
import { sayWaiting } from "./say-waiting.ts";

export function DefectRow({ defect, person, isAway: away }: { defect: Defect; person: Person; isAway: boolean }) {
  const { id, registrationMark, category, observationIds, note, status, dueDay, seenAt, competence, firstLook, waiting, campaign } = defect;
  const name = nameOfDefect({ ...defect, campaign: campaign?.name }, language());
  const competent = person.competences.includes(competence);
  return (
    <li class="job">
      <p class="plate mono">{registrationMark}</p>
      <div>
        <p>
          <CategoryMark category={category} /> <strong>{name}</strong>
        </p>
        <p dir="auto">{observationIds.length > 0 ? allThatWasSeen(observationIds, language()).join("; ") : (note ?? "")}</p>
        <p class="small">
          {say(`bench.status.${status}`)}. {say(campaign === null ? "bench.seen" : "bench.of-campaign.since", { at: sayMoment(seenAt) })}
          {dueDay !== null && ` ${say("bench.by", { day: sayDay(dueDay) })}`}
          {waiting !== null && ` ${sayWaiting(waiting)}`}
          {away && ` ${say("bench.is-away")}`}
          {firstLook !== null && ` ${say(`bench.looked.${firstLook.finding}`)}`}
          {campaign !== null && (
            <>
              {" "}
              <a href={to("bench", "campaign", campaign.id)}>{say("bench.of-campaign.open")}</a>
            </>
          )}
          {holds(person, "mechanic") && !competent && ` ${say("bench.not-yours", { competence: say(`competence.${competence}`) })}`}
        </p>
      </div>
      <a class="button main" href={to("bench", "defect", id)}>
        {say(status === "repaired" ? "bench.to-sign-off" : "bench.open")}
        <span class="hidden">
          : {registrationMark}, {name}
        </span>
      </a>
    </li>
  );
}
