// The plan as an answer, made of the jobs. Pure.
import type { WorkPlan } from "../../shared/contracts/planning.ts";
import { groupBy } from "../../shared/group-by.ts";
import { addDays, formatIsoWeek, isoWeek } from "../../shared/rules/calendar.ts";
import { sayJob } from "../../shared/words/say-job.ts";
import { word } from "../../shared/words/speak.ts";
import { type Horizon, isOfWorkshop, isWorkshopDay, type MachineJob } from "./jobs.ts";
import { goesBefore, minutesDue, type PlannedJob, planWork } from "./work-plan.ts";

/** The plan is continued for this many days after the last day asked for, to say how late a job will be. */
const FOLLOWED_DAYS = 371;

export interface PlannedDepot {
  readonly id: string;
  readonly workshopHoursPerDay: number;
}

/** Plans the jobs and answers by day and by week. Pure. */
export function planOf(
  { id, workshopHoursPerDay }: PlannedDepot,
  jobs: readonly MachineJob[],
  { today, policy }: Horizon,
  dayCount: number,
): WorkPlan {
  const days = Array.from({ length: dayCount + FOLLOWED_DAYS }, (_, index) => addDays(today, index));
  const isOpen = days.map((day) => isWorkshopDay(day, policy));
  const available = isOpen.map((open) => (open ? Math.round(workshopHoursPerDay * 60) : 0));
  const work = jobs.filter(({ kind }) => isOfWorkshop(kind));
  const plans = planWork(work, available);
  const due = minutesDue(work, isOpen);
  const planned = days.map(() => 0);
  const lines = days.map((): WorkPlan["days"][number]["jobs"] => []);
  for (const plan of [...plans].sort((one, other) => goesBefore(one.job, other.job))) {
    const line = lineOf(plan, days);
    for (const { day, minutes } of plan.parts) {
      planned[day] = (planned[day] ?? 0) + minutes;
      lines[day]?.push({ ...line, hours: hours(minutes), hoursInAll: hours(plan.job.minutes) });
    }
  }
  for (const job of jobs) {
    if (isOfWorkshop(job.kind)) continue;
    lines[Math.max(0, job.due)]?.push({ ...lineOf({ job, parts: [], done: null, late: null }, days), hours: 0, hoursInAll: 0 });
  }
  const load = (from: number, to: number) => {
    const sumOf = (minutes: readonly number[]): number => minutes.slice(from, to + 1).reduce((sum, one) => sum + one, 0);
    const [hoursAvailable, hoursPlanned, hoursDue] = [hours(sumOf(available)), hours(sumOf(planned)), hours(sumOf(due))];
    return { hoursAvailable, hoursPlanned, hoursDue, over: hoursDue > hoursAvailable };
  };
  const shown = days.slice(0, dayCount);
  return {
    depotId: id,
    from: today,
    to: days[dayCount - 1] ?? today,
    days: shown.map((day, index) => ({ day, ...load(index, index), jobs: byMachine(lines[index] ?? []) })),
    weeks: weeksOf(shown).map(({ week, from, to }) => ({
      ...{ week, from: days[from] ?? today, to: days[to] ?? today },
      ...load(from, to),
      jobs: countsOf(jobs.filter((job) => Math.max(0, job.due) >= from && Math.max(0, job.due) <= to)),
    })),
    late: plans
      .filter(({ job, late }) => job.due < dayCount && (late === null || late > 0))
      .sort((one, other) => (other.late ?? Number.MAX_SAFE_INTEGER) - (one.late ?? Number.MAX_SAFE_INTEGER) || one.job.due - other.job.due)
      .map((plan) => lineOf(plan, days)),
    caution: word("caution.line"),
  };
}

/** The jobs of a machine one after another, in the place of its most urgent one. */
const byMachine = <Line extends { readonly machineId: string }>(lines: readonly Line[]): Line[] =>
  [...groupBy(lines, ({ machineId }) => machineId).values()].flat();

const hours = (minutes: number): number => Math.round((minutes / 60) * 100) / 100;

function lineOf({ job, done, late }: PlannedJob<MachineJob>, days: readonly string[]): WorkPlan["late"][number] {
  const { kind, machineId, registrationMark, itemId, dueDay, defectId, words, campaign, campaignId } = job;
  const { expectedDay, part, workshop, backDay, category, paperKind } = job;
  return {
    ...{ kind, text: sayJob(job), machineId, registrationMark, itemId, dueDay, lateDays: late },
    doneDay: done === null ? null : (days[done] ?? null),
    ...(defectId === undefined ? {} : { defectId }),
    ...(words === undefined ? {} : { words }),
    ...(campaign === undefined ? {} : { campaign }),
    ...(campaignId === undefined ? {} : { campaignId }),
    ...(expectedDay === undefined ? {} : { expectedDay }),
    ...(part === undefined ? {} : { part }),
    ...(workshop === undefined ? {} : { workshop }),
    ...(backDay === undefined ? {} : { backDay }),
    ...(category === undefined ? {} : { category }),
    ...(paperKind === undefined ? {} : { paperKind: paperKind as NonNullable<WorkPlan["late"][number]["paperKind"]> }),
  };
}

/** The ISO weeks that the days lie in, each with the indices of its first and last day. */
function weeksOf(days: readonly string[]): { week: string; from: number; to: number }[] {
  const weeks: { week: string; from: number; to: number }[] = [];
  days.forEach((day, index) => {
    const week = formatIsoWeek(isoWeek(day));
    const last = weeks.at(-1);
    if (last?.week === week) last.to = index;
    else weeks.push({ week, from: index, to: index });
  });
  return weeks;
}

function countsOf(jobs: readonly MachineJob[]): WorkPlan["weeks"][number]["jobs"] {
  const counts: WorkPlan["weeks"][number]["jobs"] = {};
  for (const { kind } of jobs) counts[kind] = (counts[kind] ?? 0) + 1;
  return counts;
}
