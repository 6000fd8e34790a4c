// What planning computes on a thread: plain data in, plain data out. Nothing is imported through a room's index.ts, so that a thread loads
// these rules and nothing else of the service.
import { once } from "node:events";
import type { MessagePort } from "node:worker_threads";
import { type WorkPlan, workPlanSchema } from "../../shared/contracts/planning.ts";
// Sentences need the words, and a new thread has none loaded.
import "../../shared/words/index.ts";
import { type AllocationPlan, type AllocationRider, allocate, type ReadyMachine } from "./allocation.ts";
import { type ForeseenMachine, foresee, type WearRecords } from "./foresee.ts";
import { type Horizon, jobsOf, type MachineJob, type SaidOfDefects } from "./jobs.ts";
import { leaking, type PressureReading, type TyreEnd } from "./leak.ts";
import { type PlannedDepot, planOf } from "./plan-of.ts";

export interface AllocationAsked {
  readonly riders: readonly AllocationRider[];
  readonly machines: readonly ReadyMachine[];
}

export const allocateAsked = ({ riders, machines }: AllocationAsked): AllocationPlan => allocate(riders, machines);

/** What the plan has to know of a machine. */
export interface MachineToPlan {
  readonly machine: Omit<ForeseenMachine, "depotRules"> & {
    readonly id: string;
    readonly registrationMark: string;
    readonly said?: SaidOfDefects;
  };
  readonly records: WearRecords;
  readonly pressures: readonly (PressureReading & { readonly end: TyreEnd })[];
}

export interface PlanAsked {
  readonly depot: PlannedDepot;
  readonly horizon: Horizon;
  readonly now: Date;
  readonly days: number;
}

/** What there is to do on these machines. */
export const jobsOfAll = (machines: readonly MachineToPlan[], { horizon, now }: Pick<PlanAsked, "horizon" | "now">): MachineJob[] =>
  machines.flatMap(({ machine, records, pressures }) =>
    jobsOf({ ...machine, foreseen: foresee({ ...machine, depotRules: horizon }, records, now), leaking: leaking(pressures) }, horizon),
  );

/** The answer as JSON, made on the thread: a year's plan has tens of thousands of lines, and writing them takes as long as planning them. */
export const planAsText = (plan: WorkPlan): string => JSON.stringify(workPlanSchema.parse(plan));

/** The plan of a depot whose machines come in batches, `null` after the last; as text. */
export async function planFed({ head, port }: { readonly head: PlanAsked; readonly port: MessagePort }): Promise<string> {
  const jobs: MachineJob[] = [];
  for (;;) {
    const [machines] = (await once(port, "message")) as [readonly MachineToPlan[] | null];
    if (machines === null) break;
    jobs.push(...jobsOfAll(machines, head));
    port.postMessage("next");
  }
  port.close();
  return planAsText(planOf(head.depot, jobs, head.horizon, head.days));
}
