// One defect: what was seen, its course, and what this person may do now; what they may not do is shown with the reason.

import { useState } from "preact/hooks";
import type { CourseReceipt, CourseStep, DefectWithCourse as Defect } from "../../../shared/contracts/defects.ts";
import type { Person } from "../../../shared/contracts/people.ts";
import { holds, onlyRides } from "../../../shared/rules/roles.ts";
import { allThatWasSeen, nameOfDefect } from "../../../shared/words/say-reason.ts";
import type { PageWordKey } from "../../../shared/words/speak.ts";
import { call } from "../frame/call.ts";
import { CategoryMark, Trouble, useLoaded, Waiting } from "../frame/parts.tsx";
import { to } from "../frame/route.ts";
import { SecretNote } from "../frame/secret-note.tsx";
import { language, paperAt, say, sayDay, sayMoment } from "../frame/words.ts";
import { Acts } from "./acts.tsx";
import { type BenchMachine, fetchBenchMachine } from "./bench-machine.ts";
import { AddNote } from "./note.tsx";
import { Photos } from "./photos.tsx";
import { sayWaiting } from "./say-waiting.ts";
import { StandsAfter } from "./stands-after.tsx";

interface Loaded {
  readonly defect: Defect;
  /** only for those who may act on it */
  readonly machine: BenchMachine | null;
}

async function loadDefect(id: string, person: Person, signal: AbortSignal): Promise<Loaded> {
  const defect = await call<Defect>(`/v1/defects/${id}`, { signal });
  return { defect, machine: holds(person, "mechanic") ? await fetchBenchMachine(defect.machineId, signal) : null };
}

export function DefectPage({ id, person }: { id: string; person: Person }) {
  const loaded = useLoaded((signal) => loadDefect(id, person, signal), [id]);
  const [done, setDone] = useState<CourseReceipt | null>(null);
  const { value } = loaded;
  return (
    <div class="bench">
      <p>
        <a href={to("bench")}>{say("bench.title")}</a>
      </p>
      {value === null ? (
        <>
          <h1>{say("bench.defect")}</h1>
          <Trouble error={loaded.error} again={loaded.reload} />
          {loaded.loading && <Waiting />}
        </>
      ) : (
        <>
          <About defect={value.defect} rides={onlyRides(person)} />
          {done && (
            <StandsAfter machine={done.machine} said={say(done.defect.secondLookNeeded ? "bench.recorded.first-look" : "bench.recorded")} />
          )}
          {value.machine && (
            <Acts
              key={value.defect.course.length}
              defect={value.defect}
              machine={value.machine}
              person={person}
              onDone={(receipt) => {
                setDone(receipt);
                loaded.reload();
              }}
            />
          )}
          <Course defect={value.defect} />
          {holds(person, "mechanic", "manager") && (
            <AddNote key={`note ${value.defect.course.length}`} defectId={id} onDone={loaded.reload} />
          )}
          {!onlyRides(person) && (
            <p>
              <a class="button" href={paperAt(`/v1/defects/${id}/report.pdf`)} target="_blank" rel="noopener">
                {say("bench.report")}
              </a>{" "}
              <a class="button" href={to("bench", "machine", value.defect.machineId)}>
                {say("bench.story")}
              </a>
            </p>
          )}
        </>
      )}
      <p class="small">{say("caution.line")}</p>
    </div>
  );
}

function About({ defect, rides }: { defect: Defect; rides: boolean }) {
  return (
    <>
      <p class="plate mono">{defect.registrationMark}</p>
      <h1>{nameOfDefect({ ...defect, campaign: defect.campaign?.name }, language())}</h1>
      <p>
        <CategoryMark category={defect.category} /> · {say(`bench.status.${defect.status}`)}
        {defect.dueDay !== null && ` · ${say("bench.by", { day: sayDay(defect.dueDay) })}`}
      </p>
      {defect.repairedAt !== null && <p>{say("bench.repaired-at", { workshop: defect.repairedAt })}</p>}
      {defect.campaign !== null && !rides && (
        <p>
          {say("bench.of-campaign")} <a href={to("bench", "campaign", defect.campaign.id)}>{say("bench.of-campaign.open")}</a>
        </p>
      )}
      {defect.waiting !== null && <p class="notice">{sayWaiting(defect.waiting)}</p>}
      <ul>
        {allThatWasSeen(defect.observationIds, language()).map((one) => (
          <li key={one}>{one}</li>
        ))}
        {defect.note !== null && (
          <li class="said" dir="auto">
            {defect.note}
          </li>
        )}
      </ul>
      {defect.recurringOf !== null && (
        <p class="notice">
          {say("bench.recurring")} <a href={to("bench", "defect", defect.recurringOf)}>{say("bench.recurring.before")}</a>
        </p>
      )}
      <Photos photos={defect.photos} />
    </>
  );
}

/** A step is named like the entry that it stands for. */
const stepWords = {
  raised: "entry.defect-raised",
  sighting: "entry.defect-sighted",
  "re-grade": "entry.defect-regraded",
  deferral: "entry.defect-deferred",
  waiting: "entry.defect-waiting",
  note: "entry.defect-noted",
  repair: "entry.defect-repaired",
  "sign-off": "entry.defect-signed-off",
  "not-found": "entry.defect-not-found",
} as const satisfies Record<CourseStep["kind"], PageWordKey>;

/** What somebody wrote in a step and can be read nowhere else on the page. */
function wordsOf(kind: CourseStep["kind"], data: CourseStep["data"]): string[] {
  const submitted = (data?.["submitted"] ?? {}) as Readonly<Record<string, unknown>>;
  const fields = kind === "note" ? ["note"] : kind === "waiting" ? ["part", "reason"] : [];
  return fields.map((field) => submitted[field]).filter((words) => typeof words === "string");
}

function Course({ defect }: { defect: Defect }) {
  return (
    <section>
      <h2>{say("bench.course")}</h2>
      <ol class="course">
        {defect.course.map(({ id, kind, performedAt, data, ...secret }) => (
          <li key={id}>
            <time dateTime={performedAt}>{sayMoment(performedAt)}</time> {say(data === null ? "bench.forgotten" : stepWords[kind])}
            <SecretNote of={secret} />
            {wordsOf(kind, data).map((words) => (
              <p key={words} class="said" dir="auto">
                {words}
              </p>
            ))}
          </li>
        ))}
      </ol>
    </section>
  );
}
