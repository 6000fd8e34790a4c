// The auditor's desk: a month of a depot, whether it is complete, every record with its proof, and the pack to download.
import { useState } from "preact/hooks";
import type { Depot } from "../../../shared/contracts/fleet.ts";
import { localDay } from "../../../shared/rules/calendar.ts";
import { callAll } from "../frame/call.ts";
import { PackOrder } from "../frame/pack.tsx";
import { Pick, Trouble, useLoaded, Waiting } from "../frame/parts.tsx";
import type { AreaProps } from "../frame/shell.tsx";
import { say } from "../frame/words.ts";
import { Checkpoints } from "./checkpoints.tsx";
import { CompletenessTable } from "./completeness.tsx";
import { RecordPage } from "./record.tsx";
import { Records } from "./records.tsx";

export default function Desk({ person, path }: AreaProps) {
  const [view, id] = path;
  return view === "record" && id !== undefined ? <RecordPage key={id} id={id} person={person} /> : <Month />;
}

const isMonth = (text: string): boolean => /^\d{4}-(0[1-9]|1[0-2])$/.test(text);

/** What was chosen stays while the tab is open, so that the way back from a record leads to the same month. */
const chosen = { month: "", depotId: "", mark: "" };

function Month() {
  const depots = useLoaded((signal) => callAll<Depot>("/v1/depots", 1000, signal), []);
  const thisMonth = localDay(new Date(), Intl.DateTimeFormat().resolvedOptions().timeZone).slice(0, 7);
  const [state, setState] = useState({ ...chosen, month: chosen.month === "" ? thisMonth : chosen.month });
  const choose = (part: Partial<typeof chosen>) => {
    Object.assign(chosen, { ...state, ...part });
    setState({ ...chosen });
  };
  const { month, mark } = state;
  const list = depots.value ?? [];
  const depotId = list.length === 1 ? (list[0]?.id ?? "") : state.depotId;
  const valid = isMonth(month) && month <= thisMonth;
  return (
    <div class="desk">
      <h1>{say("desk.title")}</h1>
      <div class="board-choice">
        <label>
          <span>{say("board.month")}</span>
          <input
            type="month"
            pattern="\d{4}-\d{2}"
            value={month}
            max={thisMonth}
            onInput={({ currentTarget: { value } }) => choose({ month: value })}
          />
        </label>
        {list.length > 1 && (
          <Pick
            label={say("page.depot")}
            value={depotId}
            options={[{ value: "", text: say("page.all-depots") }, ...list.map(({ id: value, name }) => ({ value, text: name }))]}
            onChange={(value) => choose({ depotId: value })}
          />
        )}
        <label>
          <span>{say("desk.mark")}</span>
          <input
            class="mono"
            autocomplete="off"
            spellcheck={false}
            value={mark}
            onInput={({ currentTarget: { value } }) => choose({ mark: value })}
          />
        </label>
      </div>
      <Trouble error={depots.error} again={depots.reload} />
      {depots.value === null && depots.loading && <Waiting />}
      {!valid ? (
        <p class="notice" role="status">
          {say(isMonth(month) ? "desk.future" : "desk.no-month")}
        </p>
      ) : (
        depots.value !== null && <OfMonth month={month} depots={list} depotId={depotId} mark={mark} />
      )}
      <Checkpoints />
      <p class="small">{say("caution.line")}</p>
    </div>
  );
}

interface OfMonthProps {
  readonly month: string;
  readonly depots: readonly Depot[];
  /** empty: all of them */
  readonly depotId: string;
  readonly mark: string;
}

/** Whether the month is complete, its records, and what can be downloaded. */
function OfMonth({ month, depots, depotId, mark }: OfMonthProps) {
  const query = `month=${month}${depotId === "" ? "" : `&depotId=${depotId}`}`;
  const depot = depots.find(({ id }) => id === depotId);
  return (
    <>
      <section>
        <h2>{say("desk.complete")}</h2>
        {depot ? (
          <CompletenessTable key={query} month={month} depot={depot} mark={mark} />
        ) : (
          <p>{say(depots.length === 0 ? "board.no-depots" : "desk.choose-depot")}</p>
        )}
      </section>
      <Records key={`records ${query}`} query={query} mark={mark} />
      <section>
        <h2>{say("desk.take")}</h2>
        <p>{say("desk.take.recorded")}</p>
        <p class="row">
          <a class="button" href={`/v1/records?${query}&format=csv`} download>
            CSV
          </a>
          <a class="button" href={`/v1/records?${query}&format=ndjson`} download>
            NDJSON
          </a>
        </p>
        <PackOrder month={month} depotId={depotId === "" ? null : depotId} />
      </section>
    </>
  );
}
