// Whether this machine may go out, and if not, why: from its state, the moment, and the depot's zone and policy.
import type { Category, Standing } from "../contracts/common.ts";
import { addDays, localDay } from "./calendar.ts";
import { grounds, hasLastDay, type MachineState, type OpenDefect, partExpected } from "./machine-state.ts";
import { papersAgainst } from "./papers.ts";
import type { DepotChoices, Policy } from "./policy.ts";

export type ReasonCode =
  | "cannot-be-judged"
  | "sold"
  | "scrapped"
  | "withdrawn"
  | "away"
  | "away-late"
  | "grounding-defect"
  | "minor-defect-overdue"
  | "test-failed"
  | "papers-expired"
  | "inspection-overdue"
  | "first-use-inspection"
  | "return-inspection"
  | "outside-inspection"
  | "fall-inspection"
  | "unchecked"
  | "minor-defect"
  | "grounded-since-check"
  | "moved-since-check"
  | "other-depot"
  | "check-incomplete"
  | "check-unreadable"
  | "check-too-old"
  | "rider-not-equipped"
  | "licence-class";

/** One thing that stands against a machine, or a minor defect that it may be ridden with. Facts only; shared/words makes the sentence. */
export interface Reason {
  readonly code: ReasonCode;
  readonly defectId?: string;
  /** the record of the fall after which nobody has inspected it */
  readonly fallId?: string;
  readonly itemId?: string | null;
  readonly category?: Category;
  /** the day by which, or since which, in the depot's zone */
  readonly day?: string;
  readonly paperKind?: string;
  readonly note?: string;
  /** the defect waits for a part, or the machine is away: expected on that day */
  readonly expectedDay?: string;
  /** where it is away, and the record of that */
  readonly workshop?: string;
  readonly workId?: string;
  /** the part for which it waits; kept in no state, added when the reason is shown */
  readonly part?: string;
  /** the first words of whoever found a defect and named no item; kept in no state, added when the reason is shown */
  readonly words?: string;
  /** the defect is the job of the campaign of that name */
  readonly campaign?: string;
  readonly campaignId?: string;
  /** what was seen of the rider */
  readonly observationIds?: readonly string[];
  /** licence classes: the rider's, and the one that the machine takes */
  readonly held?: string;
  readonly needed?: string;
}

export interface StandingAt {
  readonly standing: Standing;
  readonly reasons: readonly Reason[];
}

export interface DepotRules {
  readonly timeZone: string;
  readonly policy: Policy;
}

/** The firm's policy with what a depot chose for itself. */
export const depotRulesAt = (
  { timeZone, secondPerson, clearanceOverMidnight }: DepotChoices & { readonly timeZone: string },
  policy: Policy,
): DepotRules => ({
  timeZone,
  policy: {
    ...policy,
    secondPerson: secondPerson ?? policy.secondPerson,
    clearanceOverMidnight: clearanceOverMidnight ?? policy.clearanceOverMidnight,
  },
});

/** The part of a machine's state that decides what stands against it. */
export type JudgedState = Pick<
  MachineState,
  "disposed" | "withdrawn" | "away" | "defects" | "falls" | "papers" | "firstUseDue" | "lastInspectionAt" | "cannotBeJudged"
>;

/** The last day on which the machine may be ridden without another weekly inspection; null before its first. */
export function inspectionDueDay(state: Pick<JudgedState, "lastInspectionAt">, { timeZone, policy }: DepotRules): string | null {
  return state.lastInspectionAt === null ? null : addDays(localDay(new Date(state.lastInspectionAt), timeZone), policy.inspectionEveryDays);
}

const firstUseReasons = { new: "first-use-inspection", returned: "return-inspection", "worked-on": "outside-inspection" } as const;

/** Everything that stands against the machine on that day, the gravest first: the first decides its standing. */
export function obstacles(state: JudgedState, at: Date, depotRules: DepotRules): Reason[] {
  // Whatever else the state says may be wrong too.
  if (state.cannotBeJudged) return [{ code: "cannot-be-judged" }];
  const today = localDay(at, depotRules.timeZone);
  const found: Reason[] = [];
  if (state.disposed) found.push({ code: state.disposed.how, day: localDay(new Date(state.disposed.since), depotRules.timeZone) });
  if (state.withdrawn)
    found.push({
      code: "withdrawn",
      day: localDay(new Date(state.withdrawn.since), depotRules.timeZone),
      note: state.withdrawn.reason,
    });
  if (state.away) {
    const { recordId: workId, workshop, since, expectedDay } = state.away;
    const code = expectedDay < today ? "away-late" : "away";
    found.push({ code, workId, workshop, day: localDay(new Date(since), depotRules.timeZone), expectedDay });
  }
  for (const { recordId, happenedAt } of state.falls ?? [])
    found.push({ code: "fall-inspection", fallId: recordId, day: localDay(new Date(happenedAt), depotRules.timeZone) });
  for (const defect of state.defects) {
    const about = aboutDefect(defect);
    if (grounds(defect.category)) found.push({ code: "grounding-defect", ...about });
    else if (defect.dueDay !== null && defect.dueDay < today)
      found.push({
        code: "minor-defect-overdue",
        ...about,
        day: defect.dueDay,
      });
  }
  found.push(...papersAgainst(state.papers, today));
  const due = inspectionDueDay(state, depotRules);
  if (state.firstUseDue !== null)
    found.push({
      code: firstUseReasons[state.firstUseDue],
    });
  else if (due === null || due < today)
    found.push({
      code: "inspection-overdue",
      ...(due === null ? {} : { day: due }),
    });
  return found;
}

/** Minor defects that the machine may still be ridden with, each with its last day. */
export function toleratedDefects(state: MachineState, at: Date, depotRules: DepotRules): Reason[] {
  const today = localDay(at, depotRules.timeZone);
  return state.defects
    .filter((defect) => hasLastDay(defect.category) && (defect.dueDay === null || defect.dueDay >= today))
    .map((defect) => ({
      code: "minor-defect",
      ...aboutDefect(defect),
      ...(defect.dueDay === null ? {} : { day: defect.dueDay }),
    }));
}

/** What a reason says of the open defect that it is about. */
export function aboutDefect(
  defect: OpenDefect,
): Pick<Reason, "defectId" | "itemId" | "category" | "expectedDay" | "campaign" | "campaignId"> {
  const { id: defectId, itemId, category, campaign } = defect;
  const expectedDay = partExpected(defect);
  return {
    ...{ defectId, itemId, category },
    ...(expectedDay === null ? {} : { expectedDay }),
    ...(campaign === undefined ? {} : { campaign: campaign.name, campaignId: campaign.id }),
  };
}

/** A standing in which a machine may not be ridden, whoever checks it. */
export type StandingAgainst = Exclude<Standing, "fit" | "unchecked">;

const standingOfReason: Partial<Record<ReasonCode, StandingAgainst>> = {
  "cannot-be-judged": "grounded",
  // It is on no board: this is what its own page and papers say.
  sold: "withdrawn",
  scrapped: "withdrawn",
  withdrawn: "withdrawn",
  away: "grounded",
  "away-late": "grounded",
  "fall-inspection": "grounded",
  "grounding-defect": "grounded",
  "minor-defect-overdue": "grounded",
  "test-failed": "grounded",
  "papers-expired": "papers-expired",
  "inspection-overdue": "inspection-overdue",
  "first-use-inspection": "inspection-overdue",
  "return-inspection": "inspection-overdue",
  "outside-inspection": "inspection-overdue",
};

/** The standing that follows from what stands against the machine, whether or not anybody checked it; null: nothing does. */
export function standingAgainst(state: JudgedState, at: Date, depotRules: DepotRules): StandingAgainst | null {
  const [first] = obstacles(state, at, depotRules);
  return (first && standingOfReason[first.code]) ?? null;
}

/** How many machines there are of each standing. */
export function countStandings(lines: readonly { readonly standing: Standing }[]): Record<Standing, number> {
  const totals = { fit: 0, unchecked: 0, grounded: 0, "inspection-overdue": 0, "papers-expired": 0, withdrawn: 0 };
  for (const { standing } of lines) totals[standing] += 1;
  return totals;
}

/** The machine's standing at a moment, with every reason. `fit` still names minor defects that go with it. */
export function standingAt(state: MachineState, at: Date, depotRules: DepotRules): StandingAt {
  const against = obstacles(state, at, depotRules);
  if (state.cannotBeJudged) return { standing: "grounded", reasons: against };
  const tolerated = toleratedDefects(state, at, depotRules);
  const first = against[0];
  const cleared = clearedNow(state, at);
  // Of a machine that left the fleet nobody asks for a check.
  const unchecked: Reason[] = cleared || state.disposed ? [] : [{ code: "unchecked" }];
  const decided = first ? standingOfReason[first.code] : undefined;
  if (decided)
    return {
      standing: decided,
      reasons: [...against, ...unchecked, ...tolerated],
    };
  return {
    standing: cleared ? "fit" : "unchecked",
    reasons: [...unchecked, ...tolerated],
  };
}

/** Whether somebody holds a clearance that still runs. How long one runs is decided when it is given. */
const clearedNow = ({ clearances }: MachineState, at: Date): boolean => clearances.some(({ validUntil }) => validUntil > at.toISOString());
