// Random courses: what people may do with one machine, in any order and at any time. Drivers take the steps to the rules or to the service.
import fc from "fast-check";
import { itemsFor, SHEET_VERSION } from "../../shared/catalogue/sheet.ts";
import {
  actionSchema,
  type DailyAnswer,
  type DailyCheckBody,
  type WeeklyAnswer,
  type WeeklyInspectionBody,
} from "../../shared/contracts/checks.ts";
import { type Category, categorySchema } from "../../shared/contracts/common.ts";
import type { Quantity, Reading } from "../../shared/contracts/quantities.ts";
import { nilAnswers, readingAsNew } from "../../shared/rules/as-new.ts";
import type { JudgedMachine } from "../../shared/rules/judge-reading.ts";
import { type EndingReason, endingReasons } from "../../shared/rules/papers.ts";
import type { SecondPerson } from "../../shared/rules/policy.ts";
import { unitsFor } from "../../shared/units.ts";
import { answersAsNew } from "./answers-as-new.ts";

/** One thing seen: the how manieth item of the sheet, and which of its observations; null: words only. */
export interface Seen {
  readonly item: number;
  readonly observation: number | null;
}

type ReadingKind = "none" | "good" | "bad";

interface Common {
  /** who of several does it */
  readonly who: number;
  /** so long ago: the record comes late */
  readonly minutesAgo: number;
  /** which of the open defects it is about */
  readonly defect: number;
  readonly reading: ReadingKind;
}

export type Step = Common &
  (
    | { readonly act: "pass"; readonly minutes: number }
    | { readonly act: "daily-check"; readonly seen: readonly Seen[]; readonly leaveOut: boolean; readonly kmSince: number }
    | {
        readonly act: "weekly-inspection";
        readonly seen: readonly Seen[];
        readonly poor: readonly number[];
        /** put right on the spot, whoever signs: by these items of the sheet */
        readonly mended: readonly Mended[];
        /** who answered the items */
        readonly measuredBy: number;
      }
    | { readonly act: "report"; readonly seen: Seen }
    | { readonly act: "repair"; readonly parts: number }
    | { readonly act: "sign-off" }
    | { readonly act: "not-found" }
    | { readonly act: "defer"; readonly days: number }
    | { readonly act: "wait"; readonly days: number }
    | { readonly act: "re-grade"; readonly category: Category }
    | { readonly act: "fall" }
    | { readonly act: "withdraw" }
    | { readonly act: "return" }
    | { readonly act: "paper"; readonly days: number }
    | { readonly act: "end-paper"; readonly days: number; readonly reason: EndingReason }
    | {
        readonly act: "policy";
        readonly secondPerson: SecondPerson;
        readonly clearanceHours: number;
        readonly inspectionEveryDays: number;
        readonly minorDefectDays: number;
      }
  );

export interface Mended {
  readonly item: number;
  readonly action: NonNullable<WeeklyAnswer["actions"]>[number];
}

const seen: fc.Arbitrary<Seen> = fc.record({
  item: fc.nat(80),
  observation: fc.option(fc.nat(5), { freq: 8 }),
});
const common = {
  who: fc.nat(3),
  minutesAgo: fc.oneof({ weight: 4, arbitrary: fc.constant(0) }, fc.nat(90), fc.nat(4 * 1440)),
  defect: fc.nat(9),
  reading: fc.constantFrom<ReadingKind>("none", "good", "good", "bad"),
};
const act = <const Name extends string, Rest extends object = object>(name: Name, rest: { [Key in keyof Rest]: fc.Arbitrary<Rest[Key]> }) =>
  fc.record({ act: fc.constant(name), ...common, ...rest }) as unknown as fc.Arbitrary<Step>;

export const anyStep: fc.Arbitrary<Step> = fc.oneof(
  { weight: 6, arbitrary: act("pass", { minutes: fc.oneof(fc.nat(20), fc.nat(600), fc.nat(5 * 1440)) }) },
  {
    weight: 7,
    arbitrary: act("daily-check", {
      seen: fc.oneof({ weight: 3, arbitrary: fc.constant([]) }, fc.array(seen, { maxLength: 2 })),
      leaveOut: fc.integer({ min: 0, max: 9 }).map((n) => n === 0),
      kmSince: fc.oneof(fc.nat(80), fc.integer({ min: -500, max: 9000 })),
    }),
  },
  {
    weight: 4,
    arbitrary: act("weekly-inspection", {
      seen: fc.array(seen, { maxLength: 1 }),
      poor: fc.array(fc.nat(80), { maxLength: 1 }),
      mended: fc.array(fc.record({ item: fc.nat(80), action: fc.constantFrom(...actionSchema.options) }), { maxLength: 2 }),
      measuredBy: fc.nat(3),
    }),
  },
  { weight: 3, arbitrary: act("report", { seen }) },
  { weight: 7, arbitrary: act("repair", { parts: fc.nat(1) }) },
  { weight: 7, arbitrary: act("sign-off", {}) },
  { weight: 2, arbitrary: act("not-found", {}) },
  { weight: 3, arbitrary: act("defer", { days: fc.integer({ min: -1, max: 12 }) }) },
  { weight: 3, arbitrary: act("wait", { days: fc.integer({ min: -1, max: 32 }) }) },
  { weight: 2, arbitrary: act("re-grade", { category: fc.constantFrom(...categorySchema.options) }) },
  { weight: 1, arbitrary: act("fall", {}) },
  { weight: 1, arbitrary: act("withdraw", {}) },
  { weight: 1, arbitrary: act("return", {}) },
  { weight: 1, arbitrary: act("paper", { days: fc.integer({ min: -5, max: 60 }) }) },
  { weight: 1, arbitrary: act("end-paper", { days: fc.integer({ min: -3, max: 3 }), reason: fc.constantFrom(...endingReasons) }) },
  {
    weight: 1,
    arbitrary: act("policy", {
      secondPerson: fc.constantFrom<SecondPerson>("grounding", "grounding", "all", "off"),
      clearanceHours: fc.integer({ min: 1, max: 24 }),
      inspectionEveryDays: fc.integer({ min: 1, max: 31 }),
      minorDefectDays: fc.integer({ min: 1, max: 31 }),
    }),
  },
);

/** A reading of that kind on this machine; undefined for none. */
export function readingOf(kind: ReadingKind, quantity: Quantity | null, machine: JudgedMachine): Reading | undefined {
  if (kind === "none" || quantity === null) return undefined;
  const good = readingAsNew(quantity, machine);
  return kind === "good" ? good : { value: good.value * 1.6 + 1, unit: good.unit, readTwice: true };
}

const pick = <T>(list: readonly T[], index: number): T | undefined => list[index % Math.max(1, list.length)];

/** What was seen, in the terms of the catalogue. */
export function sightingOf(
  machine: JudgedMachine,
  kind: "daily" | "weekly",
  { item, observation }: Seen,
): { itemId: string; observationIds?: string[]; note?: string } {
  const chosen = pick(itemsFor(machine.features, kind), item);
  const one = observation === null ? undefined : pick(chosen?.observations ?? [], observation);
  const itemId = chosen?.id ?? "";
  return one ? { itemId, observationIds: [one.id] } : { itemId, note: "Something is not right here" };
}

const withSeen = <Answer extends DailyAnswer>(answers: Answer[], machine: JudgedMachine, kind: "daily" | "weekly", all: readonly Seen[]) =>
  answers.map((answer) => {
    const found = all.map((one) => sightingOf(machine, kind, one)).find(({ itemId }) => itemId === answer.itemId);
    return found ? { ...answer, ...found, result: "defect" as const } : answer;
  });

/** The body of a daily check; one answer is left out where the step says so. */
export function dailyBodyOf(
  machine: JudgedMachine,
  step: Step & { act: "daily-check" },
  about: Pick<DailyCheckBody, "id" | "machineId" | "odometerKm" | "performedAt">,
): DailyCheckBody {
  const answers = withSeen(nilAnswers(machine.features), machine, "daily", step.seen);
  return { ...about, sheetVersion: SHEET_VERSION, durationSeconds: 59, answers: step.leaveOut ? answers.slice(1) : answers };
}

/** The body of a weekly inspection; some readings are far off what they should be. */
export function weeklyBodyOf(
  machine: JudgedMachine,
  step: Step & { act: "weekly-inspection" },
  about: Pick<WeeklyInspectionBody, "id" | "machineId" | "odometerKm" | "performedAt">,
): WeeklyInspectionBody {
  const items = itemsFor(machine.features, "weekly");
  const poor = new Set(step.poor.map((index) => pick(items, index)?.id));
  const read = answersAsNew(machine).map((answer): WeeklyAnswer => {
    const quantity = items.find(({ id }) => id === answer.itemId)?.quantity;
    if (quantity === undefined || answer.asFound === undefined || !poor.has(answer.itemId)) return answer;
    return { ...answer, asFound: answer.asFound * 0.6, unit: unitsFor(quantity)[0], readTwice: true };
  });
  const mended = new Map(step.mended.map(({ item, action }) => [pick(items, item)?.id, action]));
  const left = read.map((answer): WeeklyAnswer => {
    const action = mended.get(answer.itemId);
    if (action === undefined) return answer;
    const asNew = answersAsNew(machine).find(({ itemId }) => itemId === answer.itemId)?.asFound;
    return { ...answer, actions: [action], ...(asNew === undefined ? {} : { asLeft: asNew, readTwice: true }) };
  });
  const finished = left.map(
    (answer): WeeklyAnswer =>
      answer.itemId === "rear-wheel-fast" && left.some(({ itemId, actions }) => itemId.startsWith("chain-") && actions !== undefined)
        ? { ...answer, actions: ["tightened"] }
        : answer,
  );
  return { ...about, sheetVersion: SHEET_VERSION, answers: withSeen(finished, machine, "weekly", step.seen) };
}
