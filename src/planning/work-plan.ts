// The workshop's work in the order in which it falls due, day by day against its hours.
import TinyQueue from "tinyqueue";

/** One piece of work. Days are counted from the first day of the plan: 0 is today; work that is overdue has a negative day. */
export interface Job {
  /** the last day that is in time */
  readonly due: number;
  /** the first day on which it can be done */
  readonly earliest: number;
  /** whole minutes at the bench */
  readonly minutes: number;
  /** of two jobs that fall due together, the lower one goes first */
  readonly rank: number;
}

export interface Part {
  readonly day: number;
  readonly minutes: number;
}

/** When a job is done. `done` is null if it is not finished within the days that were planned. */
export interface PlannedJob<J extends Job> {
  readonly job: J;
  /** the days that it is spread over */
  readonly parts: readonly Part[];
  readonly done: number | null;
  /** days after the one on which it was due; 0 in time */
  readonly late: number | null;
}

/** Whether one job goes before another: the one that is due earlier. */
export const goesBefore = (one: Job, other: Job): number => one.due - other.due || one.rank - other.rank;

/**
 * Plans the jobs on the days from 0 on, each with its minutes: of the jobs that can be done on a day, the one due earliest comes first (Jackson
 * 1955), and what does not fit continues on the next day. No order has a smaller maximum lateness, even with jobs that cannot begin yet,
 * because a job may be interrupted for a more urgent one (Horn 1974).
 */
export function planWork<J extends Job>(jobs: readonly J[], minutesOfDays: readonly number[]): PlannedJob<J>[] {
  const plans = jobs.map((job) => ({ job, parts: [] as Part[], left: job.minutes, done: null as number | null, turn: 0 }));
  // The sort is stable: of equal jobs the one listed first comes first.
  [...plans]
    .sort((one, other) => goesBefore(one.job, other.job))
    .forEach((plan, turn) => {
      plan.turn = turn;
    });
  const coming = [...plans].sort((one, other) => one.job.earliest - other.job.earliest);
  const waiting = new TinyQueue<(typeof plans)[number]>([], (one, other) => one.turn - other.turn);
  let arrived = 0;
  minutesOfDays.forEach((minutes, day) => {
    for (let next = coming[arrived]; next && next.job.earliest <= day; next = coming[arrived]) {
      waiting.push(next);
      arrived += 1;
    }
    let free = minutes;
    for (let plan = waiting.peek(); plan; plan = waiting.peek()) {
      const done = Math.min(free, plan.left);
      if (done > 0) plan.parts.push({ day, minutes: done });
      free -= done;
      plan.left -= done;
      if (plan.left > 0) break;
      plan.done = day;
      waiting.pop();
    }
  });
  return plans.map(({ job, parts, done }) => ({ job, parts, done, late: done === null ? null : Math.max(0, done - job.due) }));
}

/**
 * The minutes that fall due on each day. A job counts on its due day; if that is past, on the first day of the plan; if the workshop is closed
 * that day, on the last open day before it.
 */
export function minutesDue(jobs: readonly Job[], isOpen: readonly boolean[]): number[] {
  const minutes = isOpen.map(() => 0);
  const days: number[] = [];
  let open = 0;
  isOpen.forEach((isDayOpen, day) => {
    if (isDayOpen) open = day;
    days.push(open);
  });
  for (const { due, minutes: needed } of jobs) {
    const day = days[Math.max(0, due)];
    if (day !== undefined) minutes[day] = (minutes[day] ?? 0) + needed;
  }
  return minutes;
}
