// How long the event loop stands still while something long is computed, in place and on a thread, in one run.
import { monitorEventLoopDelay } from "node:perf_hooks";
import { setTimeout as pause } from "node:timers/promises";
import { pino } from "pino";
import { addDays, localDay } from "../../shared/rules/calendar.ts";
import {
  type AllocationAsked,
  allocateAsked,
  jobsOfAll,
  type MachineToPlan,
  type PlanAsked,
  planAsText,
  type planFed,
} from "../../src/planning/on-thread.ts";
import { planOf } from "../../src/planning/plan-of.ts";
import { openThreads, threadWork } from "../../src/platform/index.ts";
import { composeFleetRoadworthiness } from "../../src/reports/index.ts";
import { drawWhole } from "../../src/reports/on-thread.ts";
import { fleet } from "../reports/sample-roadworthiness.ts";
import { testMachine } from "../support/machines.ts";
import { depotRules, dice, now, records, state } from "./planning.ts";
import { depotId, machineId } from "./stage.ts";

interface Stall {
  readonly worstMs: number;
  readonly allMs: number;
}

async function stallOf(work: () => unknown): Promise<Stall> {
  const delay = monitorEventLoopDelay({ resolution: 1 });
  delay.enable();
  await pause(50);
  delay.reset();
  // The first turn after that counts for nothing.
  await pause(10);
  const start = performance.now();
  await work();
  const allMs = performance.now() - start;
  // What stood still until now is seen with the next turn.
  await pause(20);
  delay.disable();
  return { worstMs: delay.max / 1e6, allMs };
}

async function compare(what: string, here: () => unknown, there: () => Promise<unknown>): Promise<void> {
  // Begun and compiled on both sides first.
  await here();
  await there();
  const [one, other] = [await stallOf(here), await stallOf(there)];
  const said = ({ worstMs, allMs }: Stall): string => `${Math.round(worstMs)} ms of ${Math.round(allMs)}`;
  console.log(
    `${what}: event loop stood still for ${said(one)} in place, ${said(other)} on a thread: ${(other.worstMs / one.worstMs).toFixed(2)}`,
  );
}

function yearAsked(): { asked: PlanAsked; machines: MachineToPlan[] } {
  const roll = dice(1);
  const machines = Array.from({ length: 500 }, (_, index): MachineToPlan => {
    const lastInspectionAt = new Date(now.getTime() - (index % 7) * 86_400_000).toISOString();
    const machine = { ...testMachine, id: machineId(index + 1), registrationMark: `B${index}`, state: { ...state, lastInspectionAt } };
    return { machine, records: records(roll), pressures: [] };
  });
  const today = localDay(now, depotRules.timeZone);
  const horizon = { ...depotRules, today, lastDay: addDays(today, 370 + 14) };
  return { asked: { depot: { id: depotId(0), workshopHoursPerDay: 64 }, horizon, now, days: 371 }, machines };
}

function allocationAsked(many: number): AllocationAsked {
  const roll = dice(3);
  return {
    riders: Array.from({ length: many }, (_, index) => ({
      ...{ staffId: `r${index}`, licenceClass: null, needsLoadBox: roll() < 0.4 },
      rodeBefore: roll() < 0.8 ? `m${Math.floor(roll() * many)}` : null,
    })),
    machines: Array.from({ length: many }, (_, index) => ({ id: `m${index}`, engineCc: 110, hasLoadBox: roll() < 0.5, riddenBy: [] })),
  };
}

export async function benchThreads(): Promise<void> {
  const threads = openThreads(pino({ level: "silent" }));
  const from = (room: string): string => new URL(`../../src/${room}/index.ts`, import.meta.url).href;

  const plan = threadWork<typeof planFed>(from("planning"), "./on-thread", "planFed");
  const { asked, machines } = yearAsked();
  const batches = Array.from({ length: 20 }, (_, index) => machines.slice(index * 25, index * 25 + 25));
  await compare(
    `a year's plan of ${machines.length} machines`,
    () => planAsText(planOf(asked.depot, jobsOfAll(machines, asked), asked.horizon, asked.days)),
    () => threads.feed(plan, asked, batches),
  );

  const giveOut = threadWork<typeof allocateAsked>(from("planning"), "./on-thread", "allocateAsked");
  const many = allocationAsked(2000);
  await compare(
    "2000 riders to 2000 machines",
    () => allocateAsked(many),
    () => threads.run(giveOut, many),
  );

  const draw = threadWork<typeof drawWhole>(from("reports"), "./on-thread", "drawWhole");
  for (const size of [20, 500]) {
    const paper = composeFleetRoadworthiness(fleet(size));
    await compare(
      `the fleet's paper of ${size} machines`,
      () => drawWhole(paper),
      () => threads.run(draw, paper),
    );
  }
  await threads.close();
}
