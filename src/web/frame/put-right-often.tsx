// What riders put right again and again, as questions to the workshop: on the board, at the bench, and with a machine.
import type { PutRightOftenSaid } from "../../../shared/contracts/readiness.ts";
import { sayPutRightOften } from "../../../shared/words/say-put-right.ts";
import { to } from "./route.ts";
import { language, say, sayDay } from "./words.ts";

/** One question, in the language of the page. */
export const sayOften = (often: Pick<PutRightOftenSaid, "itemId" | "observationId" | "times" | "sinceDay">): string =>
  sayPutRightOften(often, sayDay(often.sinceDay), language());

interface Asked {
  readonly machineId: string;
  readonly registrationMark: string;
  readonly putRightOften: readonly PutRightOftenSaid[];
}

/** The questions about these machines; nothing where there is none. */
export function PutRightOften({ machines, canOpen }: { readonly machines: readonly Asked[]; readonly canOpen: boolean }) {
  const asked = machines.filter(({ putRightOften }) => putRightOften.length > 0);
  if (asked.length === 0) return null;
  return (
    <section>
      <h2>{say("put-right.often.title")}</h2>
      <p class="small">{say("put-right.often.why")}</p>
      <ul class="list jobs">
        {asked.map(({ machineId, registrationMark, putRightOften }) => (
          <li key={machineId} class="job">
            <p class="plate mono">{canOpen ? <a href={to("bench", "machine", machineId)}>{registrationMark}</a> : registrationMark}</p>
            <Often often={putRightOften} />
          </li>
        ))}
      </ul>
    </section>
  );
}

export const Often = ({ often }: { readonly often: readonly PutRightOftenSaid[] }) => (
  <div>
    {often.map((one) => (
      <p key={one.observationId}>{sayOften(one)}</p>
    ))}
  </div>
);
