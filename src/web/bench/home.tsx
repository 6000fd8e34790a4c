// What waits for the bench, by urgency: grounded machines, overdue inspections, drafts, and minor defects by their last day.

import { useState } from "preact/hooks";
import type { InspectionDraft } from "../../../shared/contracts/checks.ts";
import type { Category } from "../../../shared/contracts/common.ts";
import type { Defect } from "../../../shared/contracts/defects.ts";
import type { Depot } from "../../../shared/contracts/fleet.ts";
import type { Person } from "../../../shared/contracts/people.ts";
import type { WorkPlan } from "../../../shared/contracts/planning.ts";
import type { Readiness } from "../../../shared/contracts/readiness.ts";
import { groupBy } from "../../../shared/group-by.ts";
import { holds } from "../../../shared/rules/roles.ts";
import { call, callAll } from "../frame/call.ts";
import { Pick, StandingMark, Trouble, useLoaded, Waiting } from "../frame/parts.tsx";
import { PutRightOften } from "../frame/put-right-often.tsx";
import { to } from "../frame/route.ts";
import { sayNone } from "../frame/say-none.ts";
import { sayWhy } from "../frame/say-why.ts";
import { sayWork } from "../frame/say-work.ts";
import { useEveryMinute } from "../frame/store.ts";
import { say, sayCounted, sayDay, sayMoment, sayNumber } from "../frame/words.ts";
import { DefectRow } from "./defect-row.tsx";

interface Work {
  readonly board: Readiness;
  readonly defects: readonly Defect[];
  readonly drafts: readonly InspectionDraft[];
  readonly due: WorkPlan["days"][number]["jobs"];
}

const weight: Record<Category, number> = { dangerous: 0, major: 1, minor: 2, advisory: 3 };
const mostShown = 60;
const soonDays = 3;

async function loadWork(person: Person, depotId: string | null, signal: AbortSignal): Promise<Work> {
  const query = (more: string): string => [depotId === null ? "" : `depotId=${depotId}`, more].filter((part) => part !== "").join("&");
  const [board, drafts, plan, ...defects] = await Promise.all([
    call<Readiness>(`/v1/readiness?${query("")}`, { signal }),
    !holds(person, "mechanic", "manager") ? [] : callAll<InspectionDraft>(`/v1/weekly-inspections/drafts?${query("")}`, 500, signal),
    depotId === null || !holds(person, "mechanic", "manager") ? null : call<WorkPlan>(`/v1/readiness/plan?${query("days=7")}`, { signal }),
    ...(["open", "deferred", "repaired"] as const).map((status) =>
      callAll<Defect>(`/v1/defects?${query(`status=${status}`)}`, 2000, signal),
    ),
  ]);
  // Inspections and oil come round anyway, so those of the next days are enough; what only a figure shows nobody else will tell.
  const due = (plan?.days ?? []).flatMap(({ jobs }, day) =>
    jobs.filter(
      ({ kind }) =>
        kind === "slow-puncture" ||
        kind === "renewal" ||
        (day < soonDays && (kind === "weekly-inspection" || kind === "oil-change" || kind === "service")),
    ),
  );
  return { board, drafts, due, defects: defects.flat() };
}

export function BenchHome({ person }: { person: Person }) {
  const depots = useLoaded((signal) => callAll<Depot>("/v1/depots", 1000, signal), []);
  const [chosen, choose] = useState<string | null>(null);
  const [text, setText] = useState("");
  const depotId = chosen ?? (depots.value?.length === 1 ? (depots.value[0]?.id ?? null) : null);
  const work = useLoaded((signal) => loadWork(person, depotId, signal), [depotId]);
  // A screen on the bench is open all day.
  useEveryMinute(work.reload);
  const wanted = text.replace(/\s/g, "").toUpperCase();
  const like = ({ registrationMark }: { readonly registrationMark: string }) => registrationMark.includes(wanted);
  return (
    <div class="bench">
      <h1>{say("bench.title")}</h1>
      <div class="board-choice">
        {(depots.value?.length ?? 0) > 1 && (
          <Pick
            label={say("page.depot")}
            value={chosen ?? ""}
            options={[
              { value: "", text: say("page.all-depots") },
              ...(depots.value ?? []).map(({ id, name }) => ({ value: id, text: name })),
            ]}
            onChange={(value) => choose(value === "" ? null : value)}
          />
        )}
        <label class="find-mark">
          <span>{say("board.find")}</span>
          <input class="mono" autocomplete="off" spellcheck={false} value={text} onInput={(event) => setText(event.currentTarget.value)} />
        </label>
      </div>
      <Trouble error={work.error ?? depots.error} again={work.reload} />
      {work.value === null && work.loading && <Waiting />}
      {work.value && <Lists work={work.value} wanted={wanted} person={person} />}
      {work.value && wanted !== "" && <Found machines={work.value.board.machines.filter(like)} wanted={wanted} person={person} />}
      <p>
        <a href={to("bench", "campaigns")}>{say("campaigns.title")}</a>
        {holds(person, "mechanic", "manager") && (
          <>
            {" · "}
            <a href={to("bench", "stock")}>{say("stock.title")}</a>
          </>
        )}
      </p>
      <p class="small">{say("caution.line")}</p>
    </div>
  );
}

function Lists({ work, wanted, person }: { work: Work; wanted: string; person: Person }) {
  const like = ({ registrationMark }: { readonly registrationMark: string }) => registrationMark.includes(wanted);
  const grounds = work.defects.filter((defect) => defect.grounds);
  const minors = work.defects.filter(({ grounds, category }) => !grounds && category !== "advisory");
  const advisories = work.defects.filter((defect) => defect.category === "advisory").filter(like);
  const falls = work.board.machines.filter(({ reasons }) => reasons.some(({ code }) => code === "fall-inspection"));
  const overdues = work.board.machines.filter((machine) => machine.standing === "inspection-overdue");
  const grounding = grounds
    .filter(like)
    .sort((one, other) => weight[one.category] - weight[other.category] || one.seenAt.localeCompare(other.seenAt));
  const minor = minors.filter(like).sort((one, other) => (one.dueDay ?? "").localeCompare(other.dueDay ?? ""));
  const overdue = overdues.filter(like);
  const fallen = falls.filter(like);
  // What is overdue stands above.
  const due = work.due.filter(
    (job) => like(job) && !(job.kind === "weekly-inspection" && overdue.some(({ machineId }) => machineId === job.machineId)),
  );
  const gone = new Set(work.board.machines.filter(isAway).map(({ machineId }) => machineId));
  const away = work.board.machines.filter(isAway).filter(like);
  const inspects = holds(person, "mechanic");
  return (
    <>
      <Part
        title={say("bench.grounded")}
        none={sayNone(say("bench.grounded.none"), grounds.length + falls.length, wanted)}
        count={grounding.length + fallen.length}
      >
        {fallen.map((machine) => (
          <InspectionRow key={machine.machineId} {...{ machine, inspects }} saysIt={(code) => code === "fall-inspection"} />
        ))}
        {grounding.slice(0, mostShown).map((defect) => (
          <DefectRow key={defect.id} {...{ defect, person }} isAway={gone.has(defect.machineId)} />
        ))}
      </Part>
      <Part title={say("bench.overdue")} none={sayNone(say("bench.overdue.none"), overdues.length, wanted)} count={overdue.length}>
        {overdue.slice(0, mostShown).map((machine) => (
          <InspectionRow key={machine.machineId} {...{ machine, inspects }} saysIt={(code) => code !== "unchecked"} />
        ))}
      </Part>
      {away.length > 0 && (
        <Part title={say("bench.away")} none="" count={away.length}>
          {away.map((machine) => (
            <AwayRow key={machine.machineId} machine={machine} />
          ))}
        </Part>
      )}
      {work.drafts.some(like) && (
        <Part title={say("bench.drafts")} none="" count={work.drafts.length}>
          {work.drafts.filter(like).map(({ id, machineId, registrationMark, savedAt, answers }) => (
            <li key={id} class="job">
              <p class="plate mono">{registrationMark}</p>
              <p>{sayCounted("bench.draft", answers.filter(({ result }) => result !== undefined).length, { at: sayMoment(savedAt) })}</p>
              {inspects && (
                <a class="button main" href={to("bench", "inspect", machineId)}>
                  {say("bench.draft.go-on")}
                </a>
              )}
            </li>
          ))}
        </Part>
      )}
      {due.length > 0 && <Due jobs={due} inspects={inspects} />}
      <PutRightOften machines={work.board.machines.filter(like)} canOpen />
      <Part title={say("bench.minor")} none={sayNone(say("bench.minor.none"), minors.length, wanted)} count={minor.length}>
        {minor.slice(0, mostShown).map((defect) => (
          <DefectRow key={defect.id} {...{ defect, person }} isAway={gone.has(defect.machineId)} />
        ))}
      </Part>
      {advisories.length > 0 && (
        <Part title={say("bench.advisories")} none="" count={advisories.length}>
          {advisories.slice(0, mostShown).map((defect) => (
            <DefectRow key={defect.id} {...{ defect, person }} isAway={gone.has(defect.machineId)} />
          ))}
        </Part>
      )}
    </>
  );
}

/** What there is to do soon, machine by machine. */
function Due({ jobs, inspects }: { jobs: Work["due"]; inspects: boolean }) {
  const ofMachines = [...groupBy(jobs, ({ machineId }) => machineId)];
  return (
    <Part title={say("bench.due")} none="" count={ofMachines.length}>
      {ofMachines.map(([machineId, own]) => (
        <li key={machineId} class="job">
          <p class="plate mono">{own[0]?.registrationMark}</p>
          <ul class="list">
            {own.map((job) => (
              <li key={`${job.kind} ${job.itemId ?? ""}`}>
                {sayWork(job)} <span class="small">{say("bench.due.day", { day: sayDay(job.dueDay) })}</span>
              </li>
            ))}
          </ul>
          <JobLinks machineId={machineId} inspects={inspects} />
        </li>
      ))}
    </Part>
  );
}

function Part({ title, none, count, children }: { title: string; none: string; count: number; children: preact.ComponentChildren }) {
  return (
    <section>
      <h2>
        {title} {count > 0 && <span class="count mono">{sayNumber(count)}</span>}
      </h2>
      {count === 0 ? <p>{none}</p> : <ul class="list jobs">{children}</ul>}
    </section>
  );
}

const awayReason = ({ reasons }: Readiness["machines"][number]) => reasons.find(({ workId }) => workId !== undefined);
const isAway = (machine: Readiness["machines"][number]): boolean => awayReason(machine) !== undefined;

/** A machine at another workshop: where, since when, and until when. */
function AwayRow({ machine }: { machine: Readiness["machines"][number] }) {
  const reason = awayReason(machine);
  return (
    <li class="job">
      <p class="plate mono">{machine.registrationMark}</p>
      <p>{reason && sayWhy(reason)}</p>
      {reason?.workId !== undefined && (
        <a class="button main" href={to("bench", "outside", reason.workId)}>
          {say("bench.away.open")}
          <span class="hidden">: {machine.registrationMark}</span>
        </a>
      )}
    </li>
  );
}

interface InspectionRowProps {
  readonly machine: Readiness["machines"][number];
  readonly inspects: boolean;
  /** whether the row tells a reason of this code */
  readonly saysIt: (code: string) => boolean;
}

/** A machine that waits for an inspection, and why. */
function InspectionRow({ machine: { machineId, registrationMark, reasons }, inspects, saysIt }: InspectionRowProps) {
  return (
    <li class="job">
      <p class="plate mono">{registrationMark}</p>
      <p>
        {reasons
          .filter(({ code }) => saysIt(code))
          .map((reason) => sayWhy(reason))
          .join("; ")}
      </p>
      <JobLinks machineId={machineId} inspects={inspects} />
    </li>
  );
}

function JobLinks({ machineId, inspects }: { machineId: string; inspects: boolean }) {
  return (
    <p class="row">
      {inspects && (
        <a class="button main" href={to("bench", "inspect", machineId)}>
          {say("bench.inspect")}
        </a>
      )}
      <a class="button" href={to("bench", "machine", machineId)}>
        {say("bench.story")}
      </a>
    </p>
  );
}

function Found({ machines, wanted, person }: { machines: Readiness["machines"]; wanted: string; person: Person }) {
  return (
    <section>
      <h2>{say("bench.found")}</h2>
      {machines.length === 0 ? (
        <p>{say("walk.none-like-it", { mark: wanted })}</p>
      ) : (
        <ul class="list jobs">
          {machines.slice(0, mostShown).map(({ machineId, registrationMark, standing }) => (
            <li key={machineId} class="job">
              <p class="plate mono">{registrationMark}</p>
              <StandingMark standing={standing} />
              <JobLinks machineId={machineId} inspects={holds(person, "mechanic")} />
            </li>
          ))}
        </ul>
      )}
    </section>
  );
}
