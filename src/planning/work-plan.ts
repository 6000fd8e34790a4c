// The workshop's work in the order in which it falls due, day by day against its hours.
import TinyQueue from "tinyqueue";

/** One piece of work. Days are counted from the first day of the plan: 0 is today, and what was due before has a day below it. */
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

/** When a job is done. Without an end (`done` null) it is not finished within the days that were looked at. */
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
 * Plans the jobs on the days from 0 on, each with its minutes: of what can be done on a day, what is due earliest comes first (Jackson
 * 1955), and what does not fit goes on the next day. No order has a smaller greatest lateness, work that cannot begin yet included,
 * because a job may be left for a more urgent one (Horn 1974).
 */
export function planWork<J extends Job>(jobs: readonly J[], minutesOfDays: readonly number[]): PlannedJob<J>[] {
  const plans = jobs.map((job) => ({ job, parts: [] as Part[], left: job.minutes, done: null as number | null, turn: 0 }));
  // Stable: of equal jobs the one that is named first.
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
 * The minutes that fall due on each day: a job on its due day, on the first day of the plan where that has gone by, and on the last open
 * day before it where the workshop is closed.
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
