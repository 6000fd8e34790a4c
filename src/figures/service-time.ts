// How long machines were in service, and how much of that they could not be ridden: the board's own rule, over time instead of at a
// moment. Pure. What the board shows changes only with an act, with the depot's day and with the firm's policy.
import { endOfDay, localDay, startOfDay } from "../../shared/rules/calendar.ts";
import type { Policy } from "../../shared/rules/policy.ts";
import { type JudgedState, type StandingAgainst, standingAgainst } from "../../shared/rules/standing.ts";
import type { Stretch } from "./stretches.ts";

/** A machine at one depot in one state, from one act that changed anything to the next. */
export interface StateSpan {
  readonly machineId: string;
  readonly modelId: string;
  readonly depotId: string;
  /** the firm counts it from the beginning of this day */
  readonly inServiceFrom: string;
  readonly starts: Date;
  /** null: it still is */
  readonly ends: Date | null;
  readonly state: JudgedState;
}

/** A policy for as long as it was in force; the last has no end. */
export interface PolicySpan {
  readonly until: Date | null;
  readonly policy: Policy;
}

/** What a machine counts as: in service and usable once it is checked (`serviceable`), in service but not usable, or withdrawn. */
export type Service = StandingAgainst | "serviceable";

export interface ServiceSpan extends Pick<StateSpan, "machineId" | "modelId" | "depotId"> {
  readonly n: number;
  readonly service: Service;
  readonly starts: number;
  readonly ends: number;
}

/** What the machine counted as over time, within the stretches of its depot. */
export function* serviceOf(
  span: StateSpan,
  { timeZone, stretches }: { readonly timeZone: string; readonly stretches: readonly Stretch[] },
  policies: readonly PolicySpan[],
): Generator<ServiceSpan> {
  const { machineId, modelId, depotId, inServiceFrom, state } = span;
  // It is the firm's no longer.
  if (state.disposed) return;
  const counted = Math.max(span.starts.getTime(), startOfDay(inServiceFrom, timeZone).getTime());
  for (const { n, opens, closes } of stretches) {
    const end = Math.min(closes.getTime(), span.ends?.getTime() ?? Number.POSITIVE_INFINITY);
    for (let at = Math.max(counted, opens.getTime()); at < end; ) {
      const held = policies.find(({ until }) => until === null || until.getTime() > at);
      if (!held) throw new Error("the last policy has no end");
      const moment = new Date(at);
      const dayEnds = endOfDay(localDay(moment, timeZone), timeZone).getTime();
      const ends = Math.min(end, dayEnds, held.until?.getTime() ?? Number.POSITIVE_INFINITY);
      const service = standingAgainst(state, moment, { timeZone, policy: held.policy }) ?? "serviceable";
      yield { machineId, modelId, depotId, n, service, starts: at, ends };
      at = ends;
    }
  }
}

/** Days of 24 hours; today counts as far as it is over. */
export interface ServiceDays {
  /** in service: at a depot, from its first day in service on, and not withdrawn */
  readonly machineDays: number;
  /** of these, those on which the board said that it may not be ridden, by what it said first */
  readonly lostDays: {
    readonly all: number;
    readonly grounded: number;
    readonly papersExpired: number;
    readonly inspectionOverdue: number;
  };
  /** withdrawn: no part of those in service */
  readonly withdrawnDays: number;
}

const dayMs = 86_400_000;

/** Converts milliseconds into days. */
export function serviceDays(milliseconds: Readonly<Partial<Record<Service, number>>>): ServiceDays {
  const days = (service: Service): number => (milliseconds[service] ?? 0) / dayMs;
  const lost = { grounded: days("grounded"), papersExpired: days("papers-expired"), inspectionOverdue: days("inspection-overdue") };
  const all = lost.grounded + lost.papersExpired + lost.inspectionOverdue;
  return { machineDays: days("serviceable") + all, lostDays: { all, ...lost }, withdrawnDays: days("withdrawn") };
}

/** What machines of one model were at one depot, in one of the stretches asked for. */
export interface ServiceRow {
  readonly n: number;
  readonly depotId: string;
  readonly modelId: string;
  readonly milliseconds: Readonly<Partial<Record<Service, number>>>;
}

/** Adds spans up by stretch, depot and model. */
export class ServiceSum {
  readonly #rows = new Map<string, { n: number; depotId: string; modelId: string; milliseconds: Partial<Record<Service, number>> }>();

  add({ n, depotId, modelId, service, starts, ends }: ServiceSpan): void {
    const key = `${n} ${depotId} ${modelId}`;
    const row = this.#rows.get(key) ?? { n, depotId, modelId, milliseconds: {} };
    row.milliseconds[service] = (row.milliseconds[service] ?? 0) + ends - starts;
    this.#rows.set(key, row);
  }

  sums(): ServiceRow[] {
    return [...this.#rows.values()];
  }
}

/** The days of those rows together. */
export function daysTogether(rows: readonly Pick<ServiceRow, "milliseconds">[]): ServiceDays {
  const total: Partial<Record<Service, number>> = {};
  for (const { milliseconds } of rows) {
    for (const [service, ms] of Object.entries(milliseconds) as [Service, number][]) total[service] = (total[service] ?? 0) + ms;
  }
  return serviceDays(total);
}
