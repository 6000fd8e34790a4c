// Earliest due first (Jackson 1955: of jobs of one length no order has a smaller greatest lateness), and the jobs of a machine together.
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { goesBefore, type Job, KEPT_DAYS, minutesDue, type PlannedJob, planWork } from "../../src/planning/work-plan.ts";

function* orders<T>(items: readonly T[]): Generator<T[]> {
  if (items.length === 0) yield [];
  for (const [index, item] of items.entries()) for (const rest of orders(items.filter((_, at) => at !== index))) yield [item, ...rest];
}

/** The greatest lateness when jobs are taken up in this order, each on the first day that has room for it. */
function greatestLateness(order: readonly Job[], minutesOfDays: readonly number[]): number {
  const free = [...minutesOfDays];
  return Math.max(
    ...order.map(({ due, earliest, minutes }) => {
      const day = free.findIndex((left, index) => index >= earliest && left >= minutes);
      free[day] = (free[day] ?? 0) - minutes;
      return day - due;
    }),
  );
}

const DAY = 90;
const jobShape = {
  due: fc.integer({ min: -2, max: 8 }),
  earliest: fc.nat(5),
  minutes: fc.integer({ min: 1, max: DAY }),
  rank: fc.nat(3),
};
/** Jobs each on a machine of its own. */
const apart = (jobs: readonly Omit<Job, "machineId">[]): Job[] => jobs.map((one, index) => ({ ...one, machineId: `m${index}` }));
const someApart = (most: number, least = 0) => fc.array(fc.record(jobShape), { minLength: least, maxLength: most }).map(apart);
/** Jobs on three machines. */
const someTogether = fc.array(fc.record({ ...jobShape, machineId: fc.constantFrom("a", "b", "c") }), { maxLength: 25 });
const dayMinutes = fc.array(fc.constantFrom(0, 30, 60, DAY), { minLength: 8, maxLength: 8 }).map((days) => [DAY, ...days]);
const latest = (plans: readonly PlannedJob<Job>[]): number => Math.max(...plans.map(({ job: { due }, done }) => (done ?? 999) - due));

describe("the order of work", () => {
  test("of jobs of one length no order has a smaller greatest lateness: every one of them is tried", () => {
    fc.assert(
      fc.property(someApart(6, 1), dayMinutes, (jobs, days) => {
        const [even, minutes] = [jobs.map((one) => ({ ...one, minutes: 30 })), [...days, ...Array.from({ length: 12 }, () => 60)]];
        const planned = latest(planWork(even, minutes));
        for (const order of orders(even)) expect(planned).toBeLessThanOrEqual(greatestLateness(order, minutes));
      }),
      { numRuns: 60 },
    );
  });

  test("no job waits for one that is less urgent: whatever is done later than it could be did not fit beside what is due sooner", () => {
    fc.assert(
      fc.property(someApart(25), dayMinutes, (jobs, days) => {
        const plans = planWork(jobs, days);
        for (const { job, done } of plans) {
          for (let day = job.earliest; day < Math.min(done ?? days.length, days.length); day += 1) {
            const sooner = plans
              .filter((other) => other.job !== job && goesBefore(other.job, job) <= 0)
              .flatMap(({ parts }) => parts.filter((part) => part.day === day))
              .reduce((sum, { minutes }) => sum + minutes, 0);
            expect(sooner + job.minutes).toBeGreaterThan(days[day] ?? 0);
          }
        }
      }),
    );
  });

  test("no day has more work than hours, no job is begun too early, each gets its minutes, and none that fits a day is split", () => {
    fc.assert(
      fc.property(fc.oneof(someApart(25), someTogether), dayMinutes, (jobs, days) => {
        const plans = planWork(jobs, days);
        days.forEach((minutes, day) => {
          const worked = plans
            .flatMap(({ parts }) => parts.filter((part) => part.day === day))
            .reduce((sum, part) => sum + part.minutes, 0);
          expect(worked).toBeLessThanOrEqual(minutes);
        });
        for (const { job: planned, parts, done, late } of plans) {
          for (const { day } of parts) expect(day).toBeGreaterThanOrEqual(planned.earliest);
          if (done === null) expect([parts, late]).toEqual([[], null]);
          else expect([parts, late]).toEqual([[{ day: done, minutes: planned.minutes }], Math.max(0, done - planned.due)]);
        }
      }),
    );
  });

  test("a job that is longer than any day goes on after the closed day, and says how late it is", () => {
    const big = { machineId: "m", due: 1, earliest: 0, minutes: 100, rank: 0 };
    expect(planWork([big], [60, 0, 60])).toEqual([
      {
        job: big,
        parts: [
          { day: 0, minutes: 60 },
          { day: 2, minutes: 40 },
        ],
        done: 2,
        late: 1,
      },
    ]);
    expect(planWork([big], [0, 0, 0])).toEqual([{ job: big, parts: [], done: null, late: null }]);
  });

  test("a job that does not fit the rest of a day has the next to itself, and a smaller one takes the rest", () => {
    const [first, second, small] = apart([
      { due: 0, earliest: 0, minutes: 60, rank: 0 },
      { due: 1, earliest: 0, minutes: 60, rank: 0 },
      { due: 4, earliest: 0, minutes: 30, rank: 0 },
    ]) as [Job, Job, Job];
    expect(planWork([first, second, small], [90, 90]).map(({ done }) => done)).toEqual([0, 1, 0]);
  });

  test("a job without minutes is done on the first day that is open", () => {
    expect(planWork([{ machineId: "m", due: 3, earliest: 0, minutes: 0, rank: 0 }], [0, 60])).toMatchObject([
      { parts: [], done: 1, late: 0 },
    ]);
  });
});

describe("the jobs of one machine", () => {
  /** The least number of visits in which all can be done, by trying each set of days. */
  function leastVisits(jobs: readonly Job[]): number {
    const days = [...new Set(jobs.map(({ due }) => due))];
    const sets = Array.from({ length: 2 ** days.length }, (_, bits) => days.filter((_day, at) => (bits >> at) & 1));
    const isEnough = (set: readonly number[]): boolean =>
      jobs.every(({ earliest, due }) => set.some((day) => day >= earliest && day <= due));
    return Math.min(...sets.filter(isEnough).map(({ length }) => length));
  }
  const visitsOf = (plans: readonly PlannedJob<Job>[], machineId: string): number =>
    new Set(plans.filter(({ job }) => job.machineId === machineId).flatMap(({ parts }) => parts.map(({ day }) => day))).size;
  const inTime = fc
    .array(fc.record({ ...jobShape, earliest: fc.nat(8), due: fc.nat(KEPT_DAYS), machineId: fc.constantFrom("a", "b") }), {
      minLength: 1,
      maxLength: 12,
    })
    .map((jobs) => jobs.map((one) => ({ ...one, due: one.earliest + one.due })));

  test("where hours are enough, it comes in as seldom as can be and nothing is late: every set of days is tried", () => {
    fc.assert(
      fc.property(inTime, (jobs) => {
        const plans = planWork(
          jobs,
          Array.from({ length: 20 }, () => 5000),
        );
        expect(plans.filter(({ late }) => late !== 0)).toEqual([]);
        for (const machineId of new Set(jobs.map((one) => one.machineId))) {
          expect(visitsOf(plans, machineId)).toBe(leastVisits(jobs.filter((one) => one.machineId === machineId)));
        }
      }),
    );
  });

  test("what can be done any day waits for the inspection that comes in time, and what falls due after it is done with it", () => {
    const of = (due: number, earliest: number): Job => ({ machineId: "m", due, earliest, minutes: 30, rank: 0 });
    const [minor, inspection, oil] = [of(5, 0), of(4, 2), of(9, 2)];
    expect(
      planWork(
        [minor, inspection, oil],
        Array.from({ length: 10 }, () => 120),
      ).map(({ done }) => done),
    ).toEqual([2, 2, 2]);
  });

  test("where hours are short, nothing is kept back and nothing taken along that would make another machine late", () => {
    const of = (machineId: string, due: number, earliest: number, minutes: number): Job => ({ machineId, due, earliest, minutes, rank: 0 });
    // The minor one could wait for the inspection on day 2, but days 1 to 3 are full of what others need.
    const full = [1, 2, 3].map((day) => of(`other ${day}`, day, day, 60));
    expect(planWork([of("m", 3, 0, 30), of("m", 3, 2, 30), ...full], [60, 60, 60, 60, 60])[0]?.done).toBe(0);
    // The oil could be changed with the repair on day 0, but then the other machine's repair is late.
    const plans = planWork([of("m", 0, 0, 30), of("m", 6, 0, 30), of("n", 0, 0, 30)], [60, 60]);
    expect(plans.map(({ done }) => done)).toEqual([0, 1, 0]);
  });
});

describe("what falls due", () => {
  test("what falls due on a closed day counts for the open day before it, and what is overdue for the first", () => {
    const due = (day: number): Job => ({ machineId: "m", due: day, earliest: 0, minutes: 10, rank: 0 });
    expect(minutesDue([due(-3), due(0), due(2), due(3), due(9)], [true, true, false, true])).toEqual([20, 10, 0, 10]);
  });
});
