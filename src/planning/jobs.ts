// What there is to do on a machine, and by when: inspections, defects, oil, services, parts that wear out, papers.
import { partsOf } from "../../shared/catalogue/parts.ts";
import type { Category } from "../../shared/contracts/common.ts";
import { addDays, daysBetween, isoWeek } from "../../shared/rules/calendar.ts";
import { grounds, inspectionForcedBy, type MachineState, type OpenDefect, partExpected } from "../../shared/rules/machine-state.ts";
import { endsAfter } from "../../shared/rules/papers.ts";
import type { Policy } from "../../shared/rules/policy.ts";
import { aboutDefect, type DepotRules, inspectionDueDay } from "../../shared/rules/standing.ts";
import type { Foreseen } from "./foresee.ts";
import type { TyreEnd } from "./leak.ts";
import { factsOf } from "./stretches.ts";
import type { Job } from "./work-plan.ts";

/** In the order in which they are done on the same due day: what keeps a machine off the road comes first. */
export const jobKinds = [
  "cannot-be-judged",
  "sign-off",
  "grounding-repair",
  "fall-inspection",
  "first-use-inspection",
  "return-inspection",
  "outside-inspection",
  "weekly-inspection",
  "minor-repair",
  "slow-puncture",
  "renewal",
  "oil-change",
  "service",
  "paper",
] as const;
export type JobKind = (typeof jobKinds)[number];

/** A piece of work on a machine; what it is about is named by ids. */
export interface MachineJob extends Job {
  readonly kind: JobKind;
  readonly machineId: string;
  readonly registrationMark: string;
  readonly dueDay: string;
  readonly itemId: string | null;
  readonly defectId?: string;
  /** the first words of a defect for which nobody named an item */
  readonly words?: string;
  /** the campaign that the defect is the job of */
  readonly campaign?: string;
  readonly campaignId?: string;
  /** it waits for a part, which is expected on that day */
  readonly expectedDay?: string;
  /** the first words of what it waits for */
  readonly part?: string;
  /** where the machine is away, and the day on which it is expected back */
  readonly workshop?: string;
  readonly backDay?: string;
  readonly category?: Category;
  readonly paperKind?: string;
}

/** By defect id: the first words of the note where no item is named, and of the part where one is awaited. */
export type SaidOfDefects = Readonly<Record<string, Pick<MachineJob, "words" | "part">>>;

export interface PlannedMachine {
  readonly id: string;
  readonly registrationMark: string;
  readonly state: MachineState;
  /** by defect id, what is kept in no state */
  readonly said?: SaidOfDefects;
  readonly foreseen: Pick<Foreseen, "forecasts" | "oil" | "services" | "nextInspectionDay">;
  /** the tyres that lose air */
  readonly leaking: readonly TyreEnd[];
}

export interface Horizon extends DepotRules {
  readonly today: string;
  /** the last due day that is looked for */
  readonly lastDay: string;
}

/** An inspection is made at most so many working days before its due day, so that a week stays a week: common practice, no source. */
const INSPECT_AHEAD = 2;
/** Renewals and oil may be done up to this many days early: common practice, no source. */
const RENEW_AHEAD_DAYS = 7;

const hoursOf: Readonly<Record<JobKind, (policy: Policy) => number>> = {
  "cannot-be-judged": () => 0,
  "sign-off": ({ signOffHours }) => signOffHours,
  "grounding-repair": ({ groundingRepairHours }) => groundingRepairHours,
  "fall-inspection": ({ inspectionHours }) => inspectionHours,
  "first-use-inspection": ({ inspectionHours }) => inspectionHours,
  "return-inspection": ({ inspectionHours }) => inspectionHours,
  "outside-inspection": ({ inspectionHours }) => inspectionHours,
  "weekly-inspection": ({ inspectionHours }) => inspectionHours,
  "minor-repair": ({ minorRepairHours }) => minorRepairHours,
  "slow-puncture": ({ minorRepairHours }) => minorRepairHours,
  renewal: ({ renewalHours }) => renewalHours,
  "oil-change": ({ oilChangeHours }) => oilChangeHours,
  service: ({ renewalHours }) => renewalHours,
  paper: () => 0,
};

/** Papers are seen to in the office, and a state that cannot be judged by the operator of the service; everything else by the workshop. */
export const isOfWorkshop = (kind: JobKind): boolean => kind !== "paper" && kind !== "cannot-be-judged";

export const isWorkshopDay = (day: string, { workshopDays }: Policy): boolean => workshopDays.includes(isoWeek(day).weekday);

/** All work on the machine that falls due up to the last day. A withdrawn machine needs none until it comes back. */
export function jobsOf(machine: PlannedMachine, horizon: Horizon): MachineJob[] {
  const { state } = machine;
  if (state.cannotBeJudged) return [jobOf("cannot-be-judged", machine, horizon, horizon.today)];
  if (state.withdrawn) return [];
  return [
    ...inspections(machine, horizon),
    ...defects(machine, horizon),
    ...oilChanges(machine, horizon),
    ...services(machine, horizon),
    ...slowPunctures(machine, horizon),
    ...renewals(machine, horizon),
    ...state.papers.flatMap((held) =>
      endsAfter(held, horizon.today).map((day) => jobOf("paper", machine, horizon, day, { paperKind: held.kind })),
    ),
  ]
    .filter(({ dueDay }) => dueDay <= horizon.lastDay)
    .map((job) => notBeforeItIsBack(job, state, horizon));
}

/** Nobody here works on a machine that is away: of one that is late nobody knows when it comes, so not today. */
function notBeforeItIsBack(job: MachineJob, { away }: MachineState, { today }: Horizon): MachineJob {
  if (away === undefined || !isOfWorkshop(job.kind)) return job;
  const { workshop, expectedDay: backDay } = away;
  const earliest = Math.max(job.earliest, backDay < today ? 1 : daysBetween(today, backDay));
  return { ...job, earliest, workshop, backDay };
}

type About = Pick<MachineJob, "defectId" | "words" | "campaign" | "campaignId" | "expectedDay" | "part" | "category" | "paperKind"> & {
  readonly itemId?: string | null;
  readonly earliestDay?: string;
};

function jobOf(
  kind: JobKind,
  { id, registrationMark }: PlannedMachine,
  { today, policy }: Horizon,
  dueDay: string,
  { earliestDay = today, itemId = null, ...about }: About = {},
): MachineJob {
  return {
    ...{ kind, machineId: id, registrationMark, dueDay, itemId, ...about },
    due: daysBetween(today, dueDay),
    earliest: Math.max(0, daysBetween(today, earliestDay)),
    minutes: Math.round(hoursOf[kind](policy) * 60),
    rank: jobKinds.indexOf(kind),
  };
}

const forcedInspections = {
  ...({ fell: "fall-inspection", new: "first-use-inspection", returned: "return-inspection" } as const),
  "worked-on": "outside-inspection",
} as const;

function inspections(machine: PlannedMachine, horizon: Horizon): MachineJob[] {
  const { state } = machine;
  const { today, lastDay, policy } = horizon;
  const forcedBy = inspectionForcedBy(state);
  const first = forcedBy === null ? null : forcedInspections[forcedBy];
  const due = first === null ? (inspectionDueDay(state, horizon) ?? today) : today;
  const jobs = [jobOf(first ?? "weekly-inspection", machine, horizon, due, { earliestDay: aheadOf(due, today, policy) })];
  let last = due < today ? today : due;
  for (let next = addDays(last, policy.inspectionEveryDays); next <= lastDay; next = addDays(last, policy.inspectionEveryDays)) {
    jobs.push(jobOf("weekly-inspection", machine, horizon, next, { earliestDay: aheadOf(next, addDays(last, 1), policy) }));
    last = next;
  }
  return jobs;
}

/** The day that lies `INSPECT_AHEAD` working days before a day, but not before `floor`. */
function aheadOf(day: string, floor: string, policy: Policy): string {
  let earliest = day;
  for (let left = INSPECT_AHEAD; left > 0 && earliest > floor; ) {
    earliest = addDays(earliest, -1);
    if (isWorkshopDay(earliest, policy)) left -= 1;
  }
  return earliest;
}

const defects = (machine: PlannedMachine, horizon: Horizon): MachineJob[] =>
  inTheList(machine).map((defect) => {
    const { id, category, status, dueDay } = defect;
    const { today } = horizon;
    const grounding = grounds(category);
    const kind = status === "repaired" ? "sign-off" : grounding ? "grounding-repair" : "minor-repair";
    const expected = partExpected(defect);
    // Nobody can begin before the part is here.
    const earliestDay = expected !== null && expected > today ? expected : today;
    const about = { ...aboutDefect(defect), ...machine.said?.[id], earliestDay };
    // A grounding defect is due at once: its machine stands still until it is repaired.
    const last = dueDay ?? (category === "advisory" ? machine.foreseen.nextInspectionDay : today);
    return jobOf(kind, machine, horizon, grounding ? earliestDay : last, about);
  });

function oilChanges(machine: PlannedMachine, horizon: Horizon): MachineJob[] {
  const { oil } = machine.foreseen;
  if (!oil?.dueDay) return [];
  const { dueDay, everyDays, itemId } = oil;
  return repeated("oil-change", machine, horizon, { dueDay, everyDays, itemId });
}

/** Brake fluid, valve clearance, belt, coolant: each on the day on which its interval ends. */
const services = (machine: PlannedMachine, horizon: Horizon): MachineJob[] =>
  machine.foreseen.services.flatMap(({ dueDay, everyDays, itemId }) =>
    dueDay === null ? [] : repeated("service", machine, horizon, { dueDay, everyDays, itemId }),
  );

interface Repeated {
  readonly dueDay: string;
  /** from one time to the next; null: no further time is known */
  readonly everyDays: number | null;
  readonly itemId: string;
}

/** What comes again in a known time after it was done. */
function repeated(kind: JobKind, machine: PlannedMachine, horizon: Horizon, { dueDay, everyDays, itemId }: Repeated): MachineJob[] {
  const { today, lastDay } = horizon;
  const jobs: MachineJob[] = [];
  for (let due = dueDay; due <= lastDay; due = addDays(due < today ? today : due, everyDays)) {
    jobs.push(jobOf(kind, machine, horizon, due, { itemId, earliestDay: addDays(due, -RENEW_AHEAD_DAYS) }));
    if (everyDays === null) break;
  }
  return jobs;
}

/** An advisory is looked at again in the next inspection, and is no work by itself; once somebody repaired it, a sign-off is. */
const inTheList = ({ state }: PlannedMachine): readonly OpenDefect[] =>
  state.defects.filter(({ category, status }) => category !== "advisory" || status === "repaired");

const toRepair = ({ state }: PlannedMachine): readonly OpenDefect[] => state.defects.filter(({ category }) => category !== "advisory");

/** Whether the repair of a defect at the part that this weekly item looks at is in the list. */
const isReported = (machine: PlannedMachine, itemId: string): boolean =>
  toRepair(machine).some((defect) => partsOf(defect).includes(itemId));

/** Where the air goes is looked for when the machine comes in for its inspection, if nobody has reported that tyre yet. */
function slowPunctures(machine: PlannedMachine, horizon: Horizon): MachineJob[] {
  const { nextInspectionDay } = machine.foreseen;
  return machine.leaking
    .map((end) => `${end}-tyre-pressure-weekly`)
    .filter((itemId) => !isReported(machine, itemId))
    .map((itemId) => jobOf("slow-puncture", machine, horizon, nextInspectionDay, { itemId }));
}

/** Parts that wear out, each on the last day on which it is likely enough to be inside its limit; and again whenever the new one will be worn. */
function renewals(machine: PlannedMachine, horizon: Horizon): MachineJob[] {
  const { today } = horizon;
  return machine.foreseen.forecasts.flatMap(({ quantity, advice, earliest, atLimit, lifeDays }) => {
    const { adjustable, itemId } = factsOf(quantity);
    const worn = advice === "renew-at-this-inspection" ? (earliest?.day ?? today) : (earliest ?? atLimit)?.day;
    // The repair of what is reported is in the list already, and the part that it fits lasts from today.
    const dueDay = !isReported(machine, itemId) ? worn : lifeDays === null ? null : addDays(today, lifeDays);
    if (adjustable || !dueDay) return [];
    return repeated("renewal", machine, horizon, { dueDay, everyDays: lifeDays, itemId });
  });
}
