// A machine's story: where it stands and why, its wear against the limits, everything that happened, and its papers.

import { useState } from "preact/hooks";
import type { HistoryEntry, Machine } from "../../../shared/contracts/fleet.ts";
import type { Person } from "../../../shared/contracts/people.ts";
import { addDays, localDay } from "../../../shared/rules/calendar.ts";
import { holds } from "../../../shared/rules/roles.ts";
import { call } from "../frame/call.ts";
import { StandingMark, Trouble, useLoaded, Waiting } from "../frame/parts.tsx";
import { Often } from "../frame/put-right-often.tsx";
import { to } from "../frame/route.ts";
import { keyOf, sayWhy } from "../frame/say-why.ts";
import { SecretNote } from "../frame/secret-note.tsx";
import { useEveryMinute } from "../frame/store.ts";
import { language, paperAt, say, sayMoment, sayNumber } from "../frame/words.ts";
import { Advisories } from "./advisories.tsx";
import { hasLeft, LeaveFleet } from "./leave-fleet.tsx";
import { MachineCosts } from "./machine-costs.tsx";
import { MachinePapers } from "./machine-papers.tsx";
import { OutsideWork } from "./send-out.tsx";
import { TellFall } from "./tell-fall.tsx";
import { Wear } from "./wear.tsx";

export function StoryPage({ id, person }: { id: string; person: Person }) {
  const machine = useLoaded((signal) => call<Machine>(`/v1/machines/${id}`, { signal }), [id]);
  useEveryMinute(machine.reload);
  const [turn, setTurn] = useState(0);
  const { value } = machine;
  const changed = () => {
    machine.reload();
    setTurn((count) => count + 1);
  };
  return (
    <div class="bench">
      {value === null ? (
        <>
          <h1>{say("bench.story")}</h1>
          <Trouble error={machine.error} again={machine.reload} />
          {machine.loading && <Waiting />}
        </>
      ) : (
        <>
          <h1 class="plate mono">{value.registrationMark}</h1>
          <p>
            <bdi>{value.modelName}</bdi> · <bdi>{value.depotName}</bdi> ·{" "}
            {say("bench.odometer", { km: sayNumber(value.odometerKm), at: sayMoment(value.odometerAt) })}
          </p>
          {value.warnings.map(({ code }) => (
            <p key={code} class="notice">
              <span class="mono">{value.vin}</span> {say(code === "vin-made-up" ? "vin-warning.made-up" : "vin-warning.check-digit")}
            </p>
          ))}
          <Stands machine={value} />
          <Links machine={value} person={person} />
          <Advisories key={`advisories ${turn}`} machine={value} person={person} />
          {holds(person, "manager", "mechanic") && !hasLeft(value) && <OutsideWork machine={value} onDone={changed} />}
          {holds(person, "manager", "mechanic") && !hasLeft(value) && <TellFall machine={value} onDone={changed} />}
          <MachinePapers machine={value} person={person} onChanged={changed} />
          {holds(person, "manager") && <LeaveFleet machine={value} onChanged={changed} />}
          <MachineCosts key={`costs ${turn}`} machineId={id} />
          <Wear machineId={id} />
          <History key={turn} machineId={id} />
        </>
      )}
    </div>
  );
}

/** What can be done about it from here, and its papers. */
function Links({ machine, person }: { machine: Machine; person: Person }) {
  const today = localDay(new Date(), Intl.DateTimeFormat().resolvedOptions().timeZone);
  const prints = holds(person, "mechanic", "manager") && !hasLeft(machine);
  return (
    <p class="row">
      {holds(person, "mechanic") && !hasLeft(machine) && (
        <a class="button main" href={to("bench", "inspect", machine.id)}>
          {say("bench.inspect")}
        </a>
      )}
      <a
        class="button"
        href={paperAt(`/v1/machines/${machine.id}/roadworthiness.pdf?from=${addDays(today, -30)}&to=${today}`)}
        target="_blank"
        rel="noopener"
      >
        {say("bench.paper.roadworthiness")}
      </a>
      {prints &&
        (["daily", "weekly"] as const).map((kind) => (
          <a key={kind} class="button" href={paperAt(`/v1/machines/${machine.id}/sheet.pdf?kind=${kind}`)} target="_blank" rel="noopener">
            {say(`bench.paper.${kind}`)}
          </a>
        ))}
      {prints && machine.standing !== "fit" && machine.standing !== "unchecked" && (
        <a class="button" href={paperAt(`/v1/machines/${machine.id}/notice.pdf`)} target="_blank" rel="noopener">
          {say("bench.paper.notice")}
        </a>
      )}
      {prints && (
        <a class="button" href={paperAt(`/v1/reports/labels.pdf?machineId=${machine.id}`)} target="_blank" rel="noopener">
          {say("bench.paper.label")}
        </a>
      )}
    </p>
  );
}

/** Where it stands and why, and what the workshop is asked about it. */
function Stands({ machine }: { machine: Machine }) {
  return (
    <div class="outcome">
      <p class="outcome-standing">
        <StandingMark standing={machine.standing} />
      </p>
      <ul>
        {machine.reasons.map((reason) => (
          <li key={keyOf(reason)}>
            {reason.defectId === undefined ? sayWhy(reason) : <a href={to("bench", "defect", reason.defectId)}>{sayWhy(reason)}</a>}
          </li>
        ))}
      </ul>
      <Often often={machine.putRightOften} />
      <p class="small">{say("caution.line")}</p>
    </div>
  );
}

/** The way to the paper of a check or an inspection. */
function PaperOf({ id, kind }: { id: string; kind: string }) {
  if (kind !== "daily-check" && kind !== "weekly-inspection") return null;
  return (
    <>
      {" · "}
      <a
        href={paperAt(`/v1/${kind === "daily-check" ? "daily-checks" : "weekly-inspections"}/${id}/report.pdf`)}
        target="_blank"
        rel="noopener"
      >
        {say("bench.as-paper")}
      </a>
    </>
  );
}

interface Page {
  readonly items: readonly HistoryEntry[];
  readonly nextCursor: string | null;
}

function History({ machineId }: { machineId: string }) {
  const first = useLoaded((signal) => call<Page>(`/v1/machines/${machineId}/history?limit=30&lang=${language()}`, { signal }), [machineId]);
  const [more, setMore] = useState<readonly Page[]>([]);
  const [error, setError] = useState<unknown>(null);
  const pages = first.value ? [first.value, ...more] : [];
  const cursor = pages.at(-1)?.nextCursor ?? null;
  const next = () =>
    call<Page>(`/v1/machines/${machineId}/history?limit=30&lang=${language()}&cursor=${encodeURIComponent(cursor ?? "")}`).then(
      (page) => setMore([...more, page]),
      setError,
    );
  return (
    <section>
      <h2>{say("bench.history")}</h2>
      <Trouble error={first.error ?? error} again={first.reload} />
      {first.value === null && first.loading && <Waiting />}
      <ol class="course">
        {pages
          .flatMap(({ items }) => items)
          .map(({ id, kind, sentence, what, performedAt, recordedAt, staffName, staffNumber, correctedBy, ...secret }) => (
            <li key={id}>
              <time dateTime={performedAt}>{sayMoment(performedAt)}</time>{" "}
              {kind === "machine-sent-out" ? <a href={to("bench", "outside", id)}>{sentence}</a> : sentence}
              {what !== "" && <p dir="auto">{what}</p>}
              <span class="small">
                {" "}
                {staffName ?? staffNumber ?? ""}
                {Date.parse(recordedAt) - Date.parse(performedAt) > 900_000 && ` · ${say("bench.arrived", { at: sayMoment(recordedAt) })}`}
                {correctedBy.length > 0 && ` · ${say("bench.corrected")}`}
                <PaperOf id={id} kind={kind} />
              </span>
              <SecretNote of={secret} />
            </li>
          ))}
      </ol>
      {cursor !== null && (
        <button type="button" onClick={() => void next()}>
          {say("bench.history.more")}
        </button>
      )}
    </section>
  );
}
