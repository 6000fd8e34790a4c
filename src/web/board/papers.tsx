// The reports, one touch away, and the month for the auditor.
import { useState } from "preact/hooks";
import type { Depot } from "../../../shared/contracts/fleet.ts";
import { addDays, localDay } from "../../../shared/rules/calendar.ts";
import { PackOrder } from "../frame/pack.tsx";
import { paperAt, say } from "../frame/words.ts";

interface PapersProps {
  readonly depot: Depot | null;
  readonly at: string | null;
  readonly labels: boolean;
}

export function Papers({ depot, at, labels }: PapersProps) {
  const today = localDay(new Date(), depot?.timeZone ?? Intl.DateTimeFormat().resolvedOptions().timeZone);
  const [from, setFrom] = useState(addDays(today, -28));
  const [until, setUntil] = useState(today);
  const [month, setMonth] = useState(today.slice(0, 7));
  const query = (values: Readonly<Record<string, string | null>>): string => {
    const parts = new URLSearchParams();
    for (const [name, value] of Object.entries({ depotId: depot?.id ?? null, ...values }))
      if (value !== null && value !== "") parts.set(name, value);
    return parts.size === 0 ? "" : `?${parts.toString()}`;
  };
  const inOrder = from !== "" && until !== "" && from <= until;
  const paper = (path: string, text: string, ready = true) =>
    ready ? (
      <a class="button" href={paperAt(path)} target="_blank" rel="noopener">
        {text}
      </a>
    ) : (
      <button type="button" disabled>
        {text}
      </button>
    );
  return (
    <section class="papers">
      <h2>{say("board.papers")}</h2>
      <p>{paper(`/v1/reports/roadworthiness.pdf${query({ at })}`, say("board.papers.roadworthiness"))}</p>
      {labels && <p>{paper(`/v1/reports/labels.pdf${query({})}`, say("board.papers.labels"))}</p>}
      <fieldset class="row">
        <legend>{say("board.papers.defects")}</legend>
        <label>
          <span>{say("board.from")}</span>
          <input type="date" value={from} max={today} onInput={(event) => setFrom(event.currentTarget.value)} />
        </label>
        <label>
          <span>{say("board.to")}</span>
          <input type="date" value={until} max={today} onInput={(event) => setUntil(event.currentTarget.value)} />
        </label>
        {paper(`/v1/reports/defects.pdf${query({ from, to: until, at })}`, say("board.papers.open"), inOrder)}
        {!inOrder && <p class="notice">{say("board.papers.order")}</p>}
      </fieldset>
      <fieldset class="row">
        <legend>{say("board.papers.month")}</legend>
        <label>
          <span>{say("board.month")}</span>
          <input
            type="month"
            pattern="\d{4}-\d{2}"
            value={month}
            max={today.slice(0, 7)}
            onInput={(event) => setMonth(event.currentTarget.value)}
          />
        </label>
        {paper(`/v1/reports/review.pdf${query({ month })}`, say("board.papers.review"), /^\d{4}-\d{2}$/.test(month))}
        <PackOrder month={/^\d{4}-\d{2}$/.test(month) ? month : ""} depotId={depot?.id ?? null} />
      </fieldset>
    </section>
  );
}
