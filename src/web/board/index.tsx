// The morning board: how many machines can go out, which cannot and why, who has none, and what this week brings. It changes by itself.

import { useState } from "preact/hooks";
import type { Depot } from "../../../shared/contracts/fleet.ts";
import type { Readiness } from "../../../shared/contracts/readiness.ts";
import { holds, onlyRides } from "../../../shared/rules/roles.ts";
import { call, callAll, NoSignal } from "../frame/call.ts";
import { useEvents } from "../frame/live.ts";
import { localText } from "../frame/local-text.ts";
import { Pick, Trouble, useLoaded, Waiting } from "../frame/parts.tsx";
import { PutRightOften } from "../frame/put-right-often.tsx";
import { to } from "../frame/route.ts";
import type { AreaProps } from "../frame/shell.tsx";
import { useEveryMinute } from "../frame/store.ts";
import { say, sayMoment, sayTime } from "../frame/words.ts";
import { Left } from "./left.tsx";
import { Machines } from "./machines.tsx";
import { Papers } from "./papers.tsx";
import { Riders } from "./riders.tsx";
import { Tally } from "./tally.tsx";
import { Week } from "./week.tsx";

const inQuery = (values: Readonly<Record<string, string | null>>): string => {
  const query = new URLSearchParams();
  for (const [name, value] of Object.entries(values)) if (value !== null) query.set(name, value);
  return query.size === 0 ? "" : `?${query.toString()}`;
};

export default function Board({ person }: AreaProps) {
  const depots = useLoaded((signal) => callAll<Depot>("/v1/depots", 1000, signal), []);
  const [chosen, choose] = useState<string | null>(null);
  const [at, setAt] = useState<string | null>(null);
  const only = depots.value?.length === 1 ? depots.value[0] : undefined;
  const depotId = chosen ?? only?.id ?? null;
  const board = useLoaded((signal) => call<Readiness>(`/v1/readiness${inQuery({ depotId, at })}`, { signal }), [depotId, at]);

  // The past does not change, so there is no event stream for it.
  const live = useEvents(at === null ? `/v1/readiness/events${inQuery({ depotId })}` : null, ["changed"], board.reload, board.reload);
  const isLive = live && board.error === null;
  // Standings also change with time alone: a clearance runs out, a day begins.
  useEveryMinute(board.reload, at === null);

  const shown = (depots.value ?? []).filter(({ id }) => depotId === null || id === depotId);
  const depot = depotId === null ? undefined : depots.value?.find(({ id }) => id === depotId);
  return (
    <div class="board">
      <header class="board-head">
        <h1>{depot ? say("board.title.depot", { depot: depot.name }) : say("board.title")}</h1>
        <Trouble error={depots.error} again={depots.reload} />
        <div class="board-choice">
          {depots.value !== null && depots.value.length > 1 && (
            <Pick
              label={say("page.depot")}
              value={chosen ?? ""}
              options={[{ value: "", text: say("page.all-depots") }, ...depots.value.map(({ id, name }) => ({ value: id, text: name }))]}
              onChange={(value) => choose(value === "" ? null : value)}
            />
          )}
          <Moment at={at} onAt={setAt} />
        </div>
        {board.value && (
          <p class={at === null && isLive ? "small" : "notice"} role="status">
            {at !== null
              ? say("board.past", { at: sayMoment(board.value.at) })
              : say(isLive ? "board.live" : "board.not-live", { at: sayTime(board.value.at) })}
          </p>
        )}
        {board.error instanceof NoSignal && board.value ? null : <Trouble error={board.error} again={board.reload} />}
      </header>
      {board.value === null && board.loading && <Waiting />}
      {depots.value?.length === 0 && <p>{say("board.no-depots")}</p>}
      {board.value && (
        <>
          <div class="tallies">
            {shown.map((one) => (
              <Tally key={one.id} depot={one} machines={board.value?.machines.filter((machine) => machine.depotId === one.id) ?? []} />
            ))}
          </div>
          <Machines machines={board.value.machines} depots={depots.value ?? []} canOpen={!onlyRides(person)} />
          <PutRightOften machines={board.value.machines} canOpen={!onlyRides(person)} />
          <p class="small">{say("caution.line")}</p>
        </>
      )}
      {at === null && depot && holds(person, "manager") && <Riders depot={depot} machines={board.value?.machines ?? []} />}
      {at === null && depot && holds(person, "mechanic", "manager") && <Week depot={depot} />}
      {at === null && !depot && (depots.value?.length ?? 0) > 1 && <p class="small">{say("board.choose-depot")}</p>}
      {at === null && !onlyRides(person) && (
        <p>
          <a href={to("bench", "campaigns")}>{say("campaigns.title")}</a>
        </p>
      )}
      {at === null && !onlyRides(person) && <Left depotId={depotId} />}
      {holds(person, "manager", "auditor") && <Papers depot={depot ?? null} at={at} labels={holds(person, "manager")} />}
    </div>
  );
}

/** Now, or a moment of the past. */
function Moment({ at, onAt }: { at: string | null; onAt: (at: string | null) => void }) {
  return (
    <div class="moment">
      <label>
        <span>{say("board.at")}</span>
        <input
          type="datetime-local"
          value={at === null ? "" : localText(new Date(at))}
          max={localText(new Date())}
          onChange={({ currentTarget: { value } }) =>
            onAt(value === "" || Number.isNaN(Date.parse(value)) ? null : new Date(value).toISOString())
          }
        />
      </label>
      {at !== null && (
        <button type="button" onClick={() => onAt(null)}>
          {say("board.now")}
        </button>
      )}
    </div>
  );
}
