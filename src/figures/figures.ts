// The figures of a period, counted in one place for every report, page and answer that shows one.
import type { Rate } from "../../shared/contracts/insight.ts";
import type { Moment } from "../acts/index.ts";
import type { Database, Period } from "../platform/index.ts";
import { countDone, countFound, type DoneAct, type DoneCounts, type FoundCounts, type FoundDefect, rateOf } from "./counts.ts";
import { daysTogether, type ServiceDays, type ServiceRow, type ServiceSpan, ServiceSum, serviceOf } from "./service-time.ts";
import { readDone, readFound, readPoliciesSince, streamStates } from "./store.ts";
import { cutAt, type DepotOfFigures, type Stretch, stretchesOf } from "./stretches.ts";

export interface FiguresAsked {
  readonly depots: readonly DepotOfFigures[];
  /** Each period is counted separately, in the time zone of each depot. */
  readonly periods: readonly Period[];
  readonly now: Date;
  /** By the records as they were at a past moment; null or left out: as they are now. */
  readonly at?: Moment;
  /** Of these machines alone, wherever they were. */
  readonly machineIds?: readonly string[];
}

const recordsOf = ({ machineIds, at }: FiguresAsked, stretches: readonly Stretch[]) => ({
  stretches,
  machineIds: machineIds ?? null,
  at: at ?? null,
});

/** The standing of each machine over time, up to now or to the moment asked about. */
export async function* serviceSpans(db: Database, asked: FiguresAsked): AsyncGenerator<ServiceSpan> {
  const stretches = cutAt(stretchesOf(asked.depots, asked.periods), asked.at ?? asked.now);
  if (stretches.length === 0) return;
  const depots = new Map(
    asked.depots.map(({ id, timeZone }) => [id, { timeZone, stretches: stretches.filter(({ depotId }) => depotId === id) }]),
  );
  const policies = await readPoliciesSince(db, new Date(Math.min(...stretches.map(({ opens }) => opens.getTime()))));
  for await (const spans of streamStates(db, recordsOf(asked, stretches))) {
    for (const span of spans) {
      const depot = depots.get(span.depotId);
      if (depot) yield* serviceOf(span, depot, policies);
    }
  }
}

/** How long machines were in service, lost and withdrawn, by period, depot and model. */
export async function sumService(db: Database, asked: FiguresAsked): Promise<ServiceRow[]> {
  const sum = new ServiceSum();
  for await (const span of serviceSpans(db, asked)) sum.add(span);
  return sum.sums();
}

/** Defects found in the periods, the newest first. */
export async function defectsFound(db: Database, asked: FiguresAsked): Promise<FoundDefect[]> {
  const stretches = stretchesOf(asked.depots, asked.periods);
  return stretches.length === 0 ? [] : readFound(db, recordsOf(asked, stretches));
}

/** What was repaired and closed in the periods, whenever it was found. */
export async function actsDone(db: Database, asked: FiguresAsked): Promise<DoneAct[]> {
  const stretches = stretchesOf(asked.depots, asked.periods);
  return stretches.length === 0 ? [] : readDone(db, recordsOf(asked, stretches));
}

/** All of them for one period. */
export interface PeriodFigures {
  readonly service: ServiceDays;
  readonly defects: FoundCounts;
  readonly done: DoneCounts;
  readonly rate: Rate;
}

export const figuresFrom = (service: readonly ServiceRow[], found: readonly FoundDefect[], done: readonly DoneAct[]): PeriodFigures => {
  const days = daysTogether(service);
  return { service: days, defects: countFound(found), done: countDone(done), rate: rateOf(found.length, days.machineDays) };
};

export async function figuresOf(db: Database, asked: FiguresAsked): Promise<PeriodFigures> {
  const [service, found, done] = await Promise.all([sumService(db, asked), defectsFound(db, asked), actsDone(db, asked)]);
  return figuresFrom(service, found, done);
}
