// What falls due this week, day by day, against the hours of the workshop.
import type { Depot } from "../../../shared/contracts/fleet.ts";
import type { WorkPlan } from "../../../shared/contracts/planning.ts";
import { call } from "../frame/call.ts";
import { Trouble, useLoaded, Waiting } from "../frame/parts.tsx";
import { to } from "../frame/route.ts";
import { sayWork } from "../frame/say-work.ts";
import { say, sayCounted, sayDay, sayNumber } from "../frame/words.ts";

export function Week({ depot }: { depot: Depot }) {
  const plan = useLoaded((signal) => call<WorkPlan>(`/v1/readiness/plan?depotId=${depot.id}&days=7`, { signal }), [depot.id]);
  return (
    <section>
      <h2>{say("board.week")}</h2>
      <Trouble error={plan.error} again={plan.reload} />
      {plan.value === null && plan.loading && <Waiting />}
      {plan.value && (
        <>
          {plan.value.late.length > 0 && (
            <details class="notice">
              <summary>{sayCounted("board.late", plan.value.late.length)}</summary>
              <ul>
                {plan.value.late.map((job) => (
                  <li key={`${job.machineId} ${job.kind} ${job.itemId ?? job.paperKind ?? ""} ${job.dueDay}`}>
                    <a class="mono" href={to("bench", "machine", job.machineId)}>
                      {job.registrationMark}
                    </a>{" "}
                    {sayWork(job)}:{" "}
                    {job.doneDay === null
                      ? say("board.late.never", { due: sayDay(job.dueDay) })
                      : say("board.late.by", { due: sayDay(job.dueDay), done: sayDay(job.doneDay) })}
                  </li>
                ))}
              </ul>
            </details>
          )}
          <ol class="list days">
            {plan.value.days.map(({ day, hoursAvailable, hoursPlanned, hoursDue, over, jobs }) => (
              <li key={day} class={over ? "day day-over" : "day"}>
                <h3>{sayDay(day)}</h3>
                <p>
                  {hoursAvailable === 0
                    ? say("board.day.closed")
                    : say("board.day.hours", { planned: sayNumber(hoursPlanned, 1), available: sayNumber(hoursAvailable, 1) })}
                  {over && <strong> {say("board.day.over", { due: sayNumber(hoursDue, 1) })}</strong>}
                </p>
                {hoursAvailable > 0 && (
                  <meter
                    min={0}
                    max={Math.max(hoursAvailable, hoursDue)}
                    high={hoursAvailable}
                    value={Math.max(hoursPlanned, over ? hoursDue : 0)}
                    aria-label={say("board.day.load", { day: sayDay(day) })}
                  />
                )}
                {jobs.length > 0 && (
                  <details>
                    <summary>{sayCounted("board.jobs", jobs.length)}</summary>
                    <ul>
                      {jobs.map((job) => (
                        <li key={`${job.machineId} ${job.kind} ${job.itemId ?? job.paperKind ?? ""} ${job.defectId ?? ""}`}>
                          <a class="mono" href={to("bench", "machine", job.machineId)}>
                            {job.registrationMark}
                          </a>{" "}
                          {sayWork(job)}
                        </li>
                      ))}
                    </ul>
                  </details>
                )}
              </li>
            ))}
          </ol>
        </>
      )}
    </section>
  );
}
