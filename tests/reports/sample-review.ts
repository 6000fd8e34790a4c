// Facts of a review, made by the very rules that make them from the records.
import type { Category } from "../../shared/contracts/common.ts";
import { addDays } from "../../shared/rules/calendar.ts";
import type { FoundDefect } from "../../src/figures/index.ts";
import { rateChart, shareChart, weeksOf } from "../../src/insight/charts.ts";
import { gaugesOf } from "../../src/insight/digits.ts";
import { conductOf, depotsOf, peopleOf } from "../../src/insight/honesty.ts";
import { componentLives } from "../../src/insight/lives.ts";
import type { RenewalRow } from "../../src/insight/part-store.ts";
import { clearTimes, ratesOf } from "../../src/insight/rates.ts";
import { risksOf, yearsTo } from "../../src/insight/risk.ts";
import type { CheckCountRow, FollowedRow, OdometerRow, ReadingCountRow, RiskRow } from "../../src/insight/store.ts";
import type { Person } from "../../src/reports/facts.ts";
import type { FleetReviewFacts } from "../../src/reports/index.ts";
import { chainMachine, electricMachine } from "../support/machines.ts";
import { foundDefects, serviceRow } from "../support/period-figures.ts";
import * as sample from "./sample-facts.ts";

const period = { from: "2026-06-01", to: "2026-06-30" };
const inPeriod = { depotId: null, ...period, caution: "These figures are questions to ask, never a verdict on a person." };
const models = [
  { id: "chain", name: "Wren 110", features: chainMachine },
  { id: "hub", name: "Finch E", features: electricMachine },
];
const depots = [
  { id: "quay", name: "Quay", timeZone: "Europe/London" },
  { id: "yard", name: "Yard", timeZone: "Europe/London" },
];
const days = Array.from({ length: 30 }, (_, index) => addDays(period.from, index));

const checksOf = (staffId: string, changes: Partial<CheckCountRow> = {}): CheckCountRow => ({
  ...{ staffId, depotId: "quay", modelId: "chain", checks: 26, nil: 24, tooFast: 0, tooFastPerItem: 2, underHalfMedian: 0 },
  ...{ proofMissing: 1, proofImplausible: 0, medianSeconds: 58 },
  ...changes,
});
const weeks = weeksOf(period);
const found = (day: string, category: Category, itemId: string, defects = 1): FoundDefect[] =>
  foundDefects(defects, {
    ...{ category, itemId, seenAt: new Date(`${day}T08:00:00Z`) },
    n: weeks.findIndex(({ from, to }) => from <= day && day <= to),
  });

/** A month at two depots; `people` riders, one of them through every sheet in seconds. */
export function review(people = 4): FleetReviewFacts {
  const riders = Array.from({ length: people }, (_, index) => `r${index}`);
  const checks = riders.map((rider, index) =>
    checksOf(rider, index === 1 ? { nil: 26, tooFast: 26, tooFastPerItem: 26, underHalfMedian: 26 } : {}),
  );
  const followed: FollowedRow[] = [{ staffId: "r1", depotId: "quay", followed: 4, found: 2, defectIds: ["d1", "d2"] }];
  const names = new Map<string, Person>([
    ...riders.map((rider, index) => [rider, { name: `Rider ${index}`, staffNumber: `R${String(index + 1).padStart(3, "0")}` }] as const),
    ["m0", { name: sample.people.cyrillic.name, staffNumber: "M001" }],
  ]);
  const readings = Array.from(
    { length: 10 },
    (_, digit): ReadingCountRow => ({
      staffId: "m0",
      quantity: "front-tyre-pressure",
      unit: "kPa",
      value: 170 + digit,
      readings: digit === 0 ? 60 : 4,
    }),
  );
  const defects = [
    ...found("2026-06-03", "major", "chain", 3),
    ...found("2026-06-17", "dangerous", "front-brake-cable"),
    ...found("2026-06-18", "minor", "lamps", 5),
  ];
  const service = [serviceRow({ machineDays: 250, grounded: 4 }), serviceRow({ machineDays: 90 }, { depotId: "yard", modelId: "hub" })];
  const hours = [1, 2, 3, 5, 8, 30, 60].map((after) => ({ hours: after, cleared: true, category: "minor" as const }));
  const risk: RiskRow = {
    ...{ machineId: "a", registrationMark: "KX21ABC", modelName: "Wren 110", depotId: "quay", depotName: "Quay" },
    findings: [
      { n: 0, category: "dangerous", defects: 1 },
      { n: 1, category: "major", defects: 2 },
    ],
    inspections: [{ n: 0, inspections: 4 }],
  };
  const machine: OdometerRow = { machineId: "a", modelId: "chain", enteredKm: 10, lastKm: 21_000, lastPosition: 99, sets: null };
  const renewal = (odometerKm: number, position: number): RenewalRow => ({
    ...{ machineId: "a", component: "rear-tyre", odometerKm, position },
  });
  return {
    frame: { ...sample.frame, depotName: "All depots" },
    month: "2026-06",
    ...period,
    isOver: true,
    honesty: {
      ...inPeriod,
      bars: { tooFastSeconds: 25, tooFastSecondsPerItem: 2, sheets: [] },
      all: conductOf(checks, followed),
      people: peopleOf(checks, followed, names),
      depots: depotsOf(checks, followed, depots),
      gauges: gaugesOf(readings, names),
      notApplicable: [],
    },
    rates: {
      ...inPeriod,
      ...ratesOf({ found: defects, done: [], service, models, depots }),
      timeToClear: clearTimes([...hours, { hours: 200, cleared: false, category: "dangerous" }]),
    },
    charts: {
      ...inPeriod,
      checksWithDefect: shareChart(days.map((day, index) => ({ day, checks: 40, withDefect: index === 16 ? 20 : 2 }))),
      defectsPerMachineDay: rateChart(
        weeks,
        defects,
        weeks.map((_, n) => serviceRow({ machineDays: 70 }, { n })),
      ),
    },
    life: { ...inPeriod, components: componentLives([machine], [renewal(9000, 20), renewal(16_000, 40)], models) },
    risk: { depotId: null, to: period.to, caution: inPeriod.caution, machines: risksOf([risk], yearsTo(period.to)) },
  };
}

/** A firm in whose month nothing happened. */
export const emptyReview = (): FleetReviewFacts => {
  const none = review(0);
  return {
    ...none,
    honesty: { ...none.honesty, all: conductOf([], []), people: [], depots: depotsOf([], [], depots), gauges: [] },
    rates: { ...none.rates, ...ratesOf({ found: [], done: [], service: [], models, depots }), timeToClear: clearTimes([]) },
    charts: { ...inPeriod, checksWithDefect: null, defectsPerMachineDay: null },
    life: { ...inPeriod, components: componentLives([], [], models) },
    risk: { ...none.risk, machines: [] },
  };
};
