// The wear of one machine, from its inspections and from readings taken after work: a new part begins a new line.
import type { Handbook } from "../../../shared/contracts/machine-model.ts";
import type { ReadingVerdict } from "../../../shared/rules/verdict.ts";
import { type Language, word } from "../../../shared/words/index.ts";
import { renewedPart, type WearingQuantity } from "../../planning/index.ts";
import type { DefectCourse } from "../defect-facts.ts";
import type { WearSeries } from "../roadworthiness-facts.ts";
import type { HistoryStateRow, InspectionRow } from "../store.ts";

/** What wears and is not set back by an adjustment, in the order in which it is printed. */
const wearing: readonly (WearingQuantity | "brake-rod-diameter")[] = [
  ...(["front-tread", "rear-tread", "front-lining", "rear-lining", "chain-length"] as const),
  "brake-rod-diameter",
];

export interface WearFacts {
  readonly inspections: readonly InspectionRow[];
  readonly courses: readonly DefectCourse[];
  readonly states: readonly Pick<HistoryStateRow, "recordedAt" | "odometerKm">[];
  readonly handbook: Handbook;
  readonly language: Language;
}

interface Read {
  readonly at: Date;
  readonly odometerKm: number;
  readonly value: number;
  readonly unit: ReadingVerdict["reading"]["unit"];
  readonly judged: ReadingVerdict["asFound"];
}

const readsOf = ({ reading, asFound, asLeft }: ReadingVerdict, at: Date, odometerKm: number): Read[] => [
  { at, odometerKm, value: reading.asFound, unit: reading.unit, judged: asFound },
  ...(reading.asLeft === undefined || asLeft === null
    ? []
    : [{ at, odometerKm, value: reading.asLeft, unit: reading.unit, judged: asLeft }]),
];

/** The wear charts, each with the limit that decided on its last reading; none for a quantity with too few readings to show a trend. */
export const wearOf = (facts: WearFacts): WearSeries[] => wearing.flatMap((quantity) => seriesOf(quantity, facts));

function seriesOf(quantity: (typeof wearing)[number], { inspections, courses, states, handbook, language }: WearFacts): WearSeries[] {
  const odometerAt = (at: Date): number => (states.findLast(({ recordedAt }) => recordedAt <= at) ?? states[0])?.odometerKm ?? 0;
  const inspected = inspections.flatMap(({ verdicts, odometerKm, performedAt }) =>
    verdicts.filter((verdict) => verdict.quantity === quantity).flatMap((verdict) => readsOf(verdict, performedAt, odometerKm)),
  );
  const worked = courses
    .flatMap(({ repairs, notFound, signOff }) => [...repairs, notFound, signOff].flatMap((act) => act?.reading ?? []))
    .filter(({ verdict }) => verdict.quantity === quantity)
    .flatMap(({ verdict, at }) => readsOf(verdict, at, odometerAt(at)));
  const reads = [...inspected, ...worked].sort((one, other) => one.at.getTime() - other.at.getTime());
  const last = reads.at(-1);
  if (!last) return [];
  // A chain is measured in millimetres and judged by how much longer it is than a new one.
  const { unit } = last.judged.compared ?? last;
  const isRenewed = (before: Read | undefined, after: Read): boolean =>
    quantity !== "brake-rod-diameter" &&
    before?.unit === after.unit &&
    renewedPart({ quantity, parts: 0, ownItem: true, observationIds: [], before: before.value, after: after.value }, handbook);
  const points = reads.flatMap((read, index) => {
    const told = read.judged.compared ?? read;
    if (told.unit !== unit) return [];
    const before = reads[index - 1];
    // A reading of an inspection that also closes a defect comes twice: it is one point.
    if (before && before.at.getTime() === read.at.getTime() && before.value === read.value) return [];
    return [
      { at: read.at, odometerKm: read.odometerKm, value: told.value, ...(isRenewed(before, read) ? { isRenewed: true as const } : {}) },
    ];
  });
  if (points.length < 3 || points.every(({ value }) => value === points[0]?.value)) return [];
  const { limit } = last.judged;
  const value = limit.unit === unit ? (limit.least ?? limit.most) : null;
  const limits = value === null || limit.kind === "not-set" ? [] : [{ value, name: word(`report.wear-limit.${limit.kind}`, language) }];
  return [{ quantity, unit, points, limits }];
}
