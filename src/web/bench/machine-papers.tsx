// The papers of a machine: until when each is valid, which were ended and why; a manager can end one and record another.

import { useState } from "preact/hooks";
import type { Depot, Machine } from "../../../shared/contracts/fleet.ts";
import type { ListedPaper, Paper, PaperEnded } from "../../../shared/contracts/papers.ts";
import type { Person } from "../../../shared/contracts/people.ts";
import { localDay } from "../../../shared/rules/calendar.ts";
import { holds } from "../../../shared/rules/roles.ts";
import { callAll } from "../frame/call.ts";
import { StandingMark, Trouble, useLoaded, Waiting } from "../frame/parts.tsx";
import { say, sayDay, sayMoment } from "../frame/words.ts";
import { AddPaper } from "./add-paper.tsx";
import { hasLeft } from "./leave-fleet.tsx";
import { EndPaper, named } from "./paper-forms.tsx";
import { Photos } from "./photos.tsx";

interface MachinePapersProps {
  readonly machine: Machine;
  readonly person: Person;
  /** called when the machine's standing may have changed */
  readonly onChanged: () => void;
}

export function MachinePapers({ machine, person, onChanged }: MachinePapersProps) {
  const papers = useLoaded((signal) => callAll<ListedPaper>(`/v1/machines/${machine.id}/papers`, 1000, signal), [machine.id]);
  const depots = useLoaded((signal) => callAll<Depot>("/v1/depots", 1000, signal), []);
  const [ending, setEnding] = useState<string | null>(null);
  const [ended, setEnded] = useState<PaperEnded | null>(null);
  const depot = depots.value?.find(({ id }) => id === machine.depotId);
  const today = localDay(new Date(), depot?.timeZone ?? Intl.DateTimeFormat().resolvedOptions().timeZone);
  const changed = () => {
    papers.reload();
    onChanged();
  };
  const writes = holds(person, "manager") && !hasLeft(machine) && papers.value !== null && depot !== undefined;
  return (
    <section class="machine-papers">
      <h2>{say("machine-papers.title")}</h2>
      <Trouble error={papers.error ?? depots.error} again={papers.error === null ? depots.reload : papers.reload} />
      {papers.value === null && papers.loading && <Waiting />}
      {papers.value?.length === 0 && <p>{say("machine-papers.none")}</p>}
      <ul class="list">
        {[...(papers.value ?? [])].sort(countingFirst).map((paper) => (
          <li key={paper.id} class="paper">
            <PaperLine paper={paper} today={today} />
            {writes && paper.ending === null && ending !== paper.id && (
              <button type="button" aria-label={say("machine-papers.end.of", named(paper))} onClick={() => setEnding(paper.id)}>
                {say("machine-papers.end")}
              </button>
            )}
            {writes && ending === paper.id && (
              <EndPaper
                paper={paper}
                papers={papers.value ?? []}
                mark={machine.registrationMark}
                today={today}
                ruleSet={depot.ruleSet}
                onLeave={() => setEnding(null)}
                onDone={(receipt) => {
                  setEnding(null);
                  setEnded(receipt);
                  changed();
                }}
              />
            )}
          </li>
        ))}
      </ul>
      <div role="status">
        {ended && (
          <p class="notice">
            {say("machine-papers.done", named(ended.paper))} {say("machine-papers.stands", { mark: machine.registrationMark })}{" "}
            <StandingMark standing={ended.standing} />
          </p>
        )}
      </div>
      {writes && <AddPaper machineId={machine.id} onAdded={changed} />}
    </section>
  );
}

/** By kind, and within a kind valid papers before ended ones; those entered by mistake come last. */
function countingFirst(one: Paper, other: Paper): number {
  const place = ({ ending }: Paper): number => (ending === null ? 0 : ending.reason === "mistaken" ? 2 : 1);
  const byKind = one.kind < other.kind ? -1 : one.kind > other.kind ? 1 : 0;
  return Number(place(one) === 2) - Number(place(other) === 2) || byKind || place(one) - place(other);
}

function PaperLine({ paper, today }: { paper: ListedPaper; today: string }) {
  const { kind, number, ending, warnings, recordedAt, validFrom, validTo } = paper;
  const mistaken = ending?.reason === "mistaken";
  const days = say("machine-papers.as-recorded", { from: sayDay(validFrom), to: sayDay(validTo) });
  return (
    <div class="paper-line">
      <p>
        <strong>{say(`paper-kind.${kind}`)}</strong> <span class="mono">{number}</span>
      </p>
      <p class={isOver(paper, today) ? "paper-over" : ""}>
        {mistaken && <s>{days}</s>} {sayUntil(paper, today)}
      </p>
      {ending?.grounds && <p>{say("machine-papers.failed-grounds", { day: sayDay(ending.day) })}</p>}
      {ending?.note && (
        <p class="said" dir="auto">
          <q>{ending.note}</q>
        </p>
      )}
      {warnings.map(({ code }) => (
        <p key={code} class="notice">
          {say(`paper-warning.${code}`)}
        </p>
      ))}
      <Photos photos={paper.photos} />
      <p class="small">
        {ending === null
          ? say("machine-papers.recorded", { at: sayMoment(recordedAt) })
          : say("machine-papers.recorded-by", { who: ending.staffName ?? "", at: sayMoment(ending.recordedAt) })}
      </p>
    </div>
  );
}

/** It no longer counts today, whatever the reason. */
const isOver = ({ lastDay }: Paper, today: string): boolean => lastDay === null || lastDay < today;

function sayUntil({ ending, lastDay, validFrom, validTo }: Paper, today: string): string {
  if (lastDay === null) return say("machine-papers.mistaken");
  const params = { from: sayDay(validFrom), to: sayDay(validTo), last: sayDay(lastDay) };
  if (ending !== null) {
    const reason = say(`paper-ending.${ending.reason}`);
    if (lastDay < validFrom) return say("machine-papers.ended-at-once", { reason });
    return say(lastDay < today ? "machine-papers.ended" : "machine-papers.ends", { ...params, reason });
  }
  if (validTo < today) return say("machine-papers.ran-out", params);
  return say(validFrom > today ? "machine-papers.counts-later" : "machine-papers.counts", params);
}
