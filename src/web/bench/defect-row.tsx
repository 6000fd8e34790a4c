// One open defect in a list, with what it waits for and the way to it.
import type { Defect } from "../../../shared/contracts/defects.ts";
import type { Person } from "../../../shared/contracts/people.ts";
import { holds } from "../../../shared/rules/roles.ts";
import { allThatWasSeen, nameOfFinding } from "../../../shared/words/say-reason.ts";
import { CategoryMark } from "../frame/parts.tsx";
import { to } from "../frame/route.ts";
import { language, say, sayDay, sayMoment } from "../frame/words.ts";
import { sayWaiting } from "./say-waiting.ts";

export function DefectRow({ defect, person, isAway: away }: { defect: Defect; person: Person; isAway: boolean }) {
  const { id, registrationMark, category, itemId, observationIds, note, status, dueDay, seenAt, competence, firstLook, waiting } = defect;
  const competent = person.competences.includes(competence);
  return (
    <li class="job">
      <p class="plate mono">{registrationMark}</p>
      <div>
        <p>
          <CategoryMark category={category} /> <strong>{nameOfFinding(itemId, note, language())}</strong>
        </p>
        <p dir="auto">{observationIds.length > 0 ? allThatWasSeen(observationIds, language()).join("; ") : (note ?? "")}</p>
        <p class="small">
          {say(`bench.status.${status}`)}. {say("bench.seen", { at: sayMoment(seenAt) })}
          {dueDay !== null && ` ${say("bench.by", { day: sayDay(dueDay) })}`}
          {waiting !== null && ` ${sayWaiting(waiting)}`}
          {away && ` ${say("bench.is-away")}`}
          {firstLook !== null && ` ${say(`bench.looked.${firstLook.finding}`)}`}
          {holds(person, "mechanic") && !competent && ` ${say("bench.not-yours", { competence: say(`competence.${competence}`) })}`}
        </p>
      </div>
      <a class="button main" href={to("bench", "defect", id)}>
        {say(status === "repaired" ? "bench.to-sign-off" : "bench.open")}
        <span class="hidden">
          : {registrationMark}, {nameOfFinding(itemId, note, language())}
        </span>
      </a>
    </li>
  );
}
