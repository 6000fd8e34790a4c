// The workshop's work in the order in which it falls due, day by day against its hours: no job that fits a day is split, and a machine comes in
// for all that can be done on it rather than again and again.
import { groupBy } from "../../shared/group-by.ts";

/** One piece of work. Days are counted from the first day of the plan: 0 is today; work that is overdue has a negative day. */
export interface Job {
  readonly machineId: string;
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

/** A job is kept for its machine's next visit for at most so many days; an inspection comes every week. */
export const KEPT_DAYS = 7;
/** How far ahead the hours are compared with what falls due, before a job is kept back or taken along: nothing is done earlier than this. */
const AHEAD_DAYS = 14;

interface Planning<J extends Job> {
  readonly job: J;
  readonly parts: Part[];
  /** its place in the order of urgency */
  readonly turn: number;
  left: number;
  done: number | null;
}

/**
 * Plans the jobs on the days from 0 on, each with its minutes: of the jobs that can be done on a day, the one due earliest comes first (Jackson
 * 1955). One that would fit a whole day but not the rest of this one waits for the next, and a smaller one takes the rest; only what is longer
 * than any day is spread over several. A job that another of its machine can still join in time is kept for that day, and what can be done on
 * a machine that is in is done with it, both only while the hours ahead are enough for all that falls due.
 */
export function planWork<J extends Job>(jobs: readonly J[], minutesOfDays: readonly number[]): PlannedJob<J>[] {
  const order = jobs.map((_, index) => index).sort((one, other) => goesBefore(jobs[one] as J, jobs[other] as J));
  const plans: Planning<J>[] = [];
  order.forEach((index, turn) => {
    const job = jobs[index] as J;
    plans[index] = { job, parts: [], turn, left: job.minutes, done: null };
  });
  const coming = order.map((index) => plans[index] as Planning<J>).sort((one, other) => one.job.earliest - other.job.earliest);
  const ofMachine = groupBy(coming, ({ job }) => job.machineId);
  const fullDay = Math.max(0, ...minutesOfDays);
  const ahead = new HoursAhead(jobs, minutesOfDays);
  let waiting: Planning<J>[] = [];
  let arrived = 0;
  minutesOfDays.forEach((minutes, day) => {
    const first = arrived;
    while (coming[arrived] && (coming[arrived] as Planning<J>).job.earliest <= day) arrived += 1;
    if (arrived > first) waiting = [...waiting, ...coming.slice(first, arrived)].sort((one, other) => one.turn - other.turn);
    ahead.begin(day);
    for (const plan of waiting) {
      if (ahead.free === 0) break;
      const fits = plan.left <= ahead.free || plan.job.minutes > fullDay;
      const own = ofMachine.get(plan.job.machineId) ?? [];
      if (plan.done !== null || !fits || (comesAgain(own, plan.job, day) && ahead.canWait())) continue;
      work(plan, ahead);
      for (const other of own) {
        if (other.job.earliest > day) break;
        const joins = other.done === null && other.job.due > day && other.left <= ahead.free && ahead.bears(other.job.due, other.left);
        if (joins) work(other, ahead);
      }
    }
    if (minutes > 0) waiting = waiting.filter(({ done }) => done === null);
  });
  return plans.map(({ job, parts, done }) => ({ job, parts, done, late: done === null ? null : Math.max(0, done - job.due) }));
}

/** Whether its machine comes in again, for another job, before this one is due. `own`: the machine's jobs by the first day on which they can be done. */
function comesAgain(own: readonly Planning<Job>[], { due }: Job, day: number): boolean {
  for (const { job, done } of own) {
    if (job.earliest > Math.min(due, day + KEPT_DAYS)) return false;
    if (job.earliest > day && done === null) return true;
  }
  return false;
}

function work(plan: Planning<Job>, ahead: HoursAhead): void {
  const minutes = Math.min(ahead.free, plan.left);
  if (minutes > 0) plan.parts.push({ day: ahead.day, minutes });
  plan.left -= minutes;
  if (plan.left === 0) plan.done = ahead.day;
  ahead.take(plan.job.due, minutes);
}

/** The hours of a day and of those after it, beside what is still to be done by each of them. */
class HoursAhead {
  day = 0;
  /** minutes left of this day */
  free = 0;
  readonly #minutesOfDays: readonly number[];
  /** minutes not done yet, by the day on which they are due; what is overdue stands on the first */
  readonly #due: number[];
  /** of them, those due by this day */
  #dueByNow = 0;

  constructor(jobs: readonly Job[], minutesOfDays: readonly number[]) {
    this.#minutesOfDays = minutesOfDays;
    this.#due = minutesOfDays.map(() => 0);
    for (const { due, minutes } of jobs) this.#add(due, minutes);
  }

  #add(due: number, minutes: number): void {
    const day = Math.max(0, due);
    if (day < this.#due.length) this.#due[day] = (this.#due[day] ?? 0) + minutes;
  }

  begin(day: number): void {
    this.day = day;
    this.free = this.#minutesOfDays[day] ?? 0;
    this.#dueByNow += this.#due[day] ?? 0;
  }

  take(due: number, minutes: number): void {
    this.free -= minutes;
    this.#add(due, -minutes);
    if (due <= this.day) this.#dueByNow -= minutes;
  }

  /** Whether the days after this one are enough for all that falls due on them. */
  canWait(): boolean {
    return this.#spare(0, this.day + 1, this.day + AHEAD_DAYS) >= 0;
  }

  /** Whether minutes that are due on that later day can be worked on this one, and all that is due before is done in time nevertheless. */
  bears(due: number, minutes: number): boolean {
    return this.#spare(this.free, this.day, Math.min(due - 1, this.day + AHEAD_DAYS)) >= minutes;
  }

  /** The least number of minutes by which the hours exceed what is due, over these days; `free` are those left of this day. */
  #spare(free: number, from: number, to: number): number {
    let [hours, due, least] = [free, this.#dueByNow, Number.POSITIVE_INFINITY];
    for (let day = this.day; day <= to && day < this.#due.length; day += 1) {
      if (day > this.day) {
        hours += this.#minutesOfDays[day] ?? 0;
        due += this.#due[day] ?? 0;
      }
      if (day >= from) least = Math.min(least, hours - due);
    }
    return least;
  }
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
