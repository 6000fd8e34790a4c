// The machines that cannot go out and why, then those that only need their check; the others are folded away.
import { useState } from "preact/hooks";
import type { Standing } from "../../../shared/contracts/common.ts";
import type { Depot } from "../../../shared/contracts/fleet.ts";
import type { Readiness } from "../../../shared/contracts/readiness.ts";
import type { PageWordKey } from "../../../shared/words/speak.ts";
import { StandingMark } from "../frame/parts.tsx";
import { to } from "../frame/route.ts";
import { sayNone } from "../frame/say-none.ts";
import { keyOf, sayWhy } from "../frame/say-why.ts";
import { say, sayMoment, sayNumber } from "../frame/words.ts";

type Machine = Readiness["machines"][number];

const cannot: readonly Standing[] = ["grounded", "papers-expired", "inspection-overdue", "withdrawn"];
const atOnce = 100;

interface MachinesProps {
  readonly machines: readonly Machine[];
  readonly depots: readonly Depot[];
  readonly canOpen: boolean;
}

export function Machines({ machines, depots, canOpen }: MachinesProps) {
  const [text, setText] = useState("");
  const wanted = text.replace(/\s/g, "").toUpperCase();
  const found = machines.filter(({ registrationMark }) => registrationMark.includes(wanted));
  const of = (standings: readonly Standing[]) => standings.flatMap((standing) => found.filter((machine) => machine.standing === standing));
  const none = (key: PageWordKey, standings: readonly Standing[]) =>
    sayNone(say(key), machines.filter(({ standing }) => standings.includes(standing)).length, wanted);
  const several = new Set(machines.map(({ depotId }) => depotId)).size > 1;
  const about = { depots: several ? depots : [], canOpen };
  return (
    <>
      <section>
        <div class="machines-head">
          <h2>{say("board.cannot")}</h2>
          <label class="find-mark">
            <span>{say("board.find")}</span>
            <input
              class="mono"
              autocomplete="off"
              spellcheck={false}
              value={text}
              onInput={(event) => setText(event.currentTarget.value)}
            />
          </label>
        </div>
        <Listed {...about} machines={of(cannot)} none={none("board.cannot.none", cannot)} caption={say("board.cannot")} />
      </section>
      <section>
        <h2>{say("board.unchecked")}</h2>
        <Listed
          {...about}
          machines={of(["unchecked"])}
          none={none("board.unchecked.none", ["unchecked"])}
          caption={say("board.unchecked")}
        />
      </section>
      <details>
        <summary>{say("board.fit", { count: sayNumber(of(["fit"]).length) })}</summary>
        <Listed {...about} machines={of(["fit"])} none={none("board.fit.none", ["fit"])} caption={say("standing.fit")} />
      </details>
    </>
  );
}

function Listed({ machines, depots, canOpen, none, caption }: MachinesProps & { none: string; caption: string }) {
  const [most, setMost] = useState(atOnce);
  if (machines.length === 0) return <p>{none}</p>;
  return (
    <>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls has to be reached by the keyboard */}
      <section class="wide" tabIndex={0} aria-label={caption}>
        <table class="board-list">
          <thead>
            <tr>
              <th scope="col">{say("board.machine")}</th>
              {depots.length > 0 && <th scope="col">{say("page.depot")}</th>}
              <th scope="col">{say("board.standing-why")}</th>
            </tr>
          </thead>
          <tbody>
            {machines.slice(0, most).map(({ machineId, registrationMark, depotId, standing, reasons, groundedAt }) => (
              <tr key={machineId}>
                <th scope="row" class="mono">
                  {canOpen ? <a href={to("bench", "machine", machineId)}>{registrationMark}</a> : registrationMark}
                </th>
                {depots.length > 0 && <td>{depots.find(({ id }) => id === depotId)?.name}</td>}
                {/* One cell, so that on a phone the reasons stand below instead of out of sight. */}
                <td>
                  <div class="standing-why">
                    <div>
                      <StandingMark standing={standing} />
                      {groundedAt !== null && <div class="small">{say("board.since", { at: sayMoment(groundedAt) })}</div>}
                    </div>
                    <ul class="list">
                      {reasons
                        .filter(({ code }) => code !== "unchecked")
                        .map((reason) => (
                          <li key={keyOf(reason)}>{sayWhy(reason)}</li>
                        ))}
                    </ul>
                  </div>
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </section>
      {machines.length > most && (
        <button type="button" onClick={() => setMost(most + 5 * atOnce)}>
          {say("board.more", { count: sayNumber(machines.length - most) })}
        </button>
      )}
    </>
  );
}
