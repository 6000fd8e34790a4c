// The pages' chart of wear: where its lines begin and end.
import { expect, test } from "vitest";
import { seriesOf, stretches } from "../../src/web/bench/wear-series.ts";

const limit = { kind: "legal" as const, least: 1.6, most: null, unit: "mm" as const, source: "cu-27" };
type Inspections = Parameters<typeof seriesOf>[0];
type Forecasts = Parameters<typeof seriesOf>[1];

/** An inspection of one tread on that day of June. */
const inspected = (day: number, km: number, asFound: number, asLeft?: number, replaced = false): Inspections[number] => ({
  performedAt: `2026-06-${String(day).padStart(2, "0")}T12:00:00.000Z`,
  odometerKm: km,
  answers: [{ itemId: "rear-tyre-tread-weekly", result: "ok", ...(replaced ? { actions: ["replaced" as const] } : {}) }],
  verdicts: [
    {
      ...{ itemId: "rear-tyre-tread-weekly", quantity: "rear-tread" as const, result: "within" as const, category: null, asLeft: null },
      reading: { asFound, unit: "mm" as const, ...(asLeft === undefined ? {} : { asLeft }) },
      asFound: { outcome: "within" as const, category: null, limit, offBy: 0 },
    },
  ],
});
const forecastOf = (...renewals: Forecasts[number]["renewals"]): Forecasts => [{ quantity: "rear-tread", unit: "mm", renewals }];
const linesOf = (inspections: Inspections, forecasts: Forecasts): number[][] =>
  seriesOf([...inspections].reverse(), forecasts).flatMap(({ points }) => stretches(points).map((line) => line.map(({ value }) => value)));
const marksOf = (inspections: Inspections, forecasts: Forecasts): (readonly [number, string])[] =>
  seriesOf([...inspections].reverse(), forecasts).flatMap(({ points }) =>
    points.flatMap(({ km, renewed }) => (renewed ? [[km, renewed] as const] : [])),
  );

const worn = [inspected(1, 1000, 4), inspected(8, 1500, 3), inspected(15, 2000, 2)];
const repair = "2026-06-16T09:00:00.000Z";

test("a part that a repair renewed ends the worn line there, and the new part's reading begins the next", () => {
  const forecasts = forecastOf({ at: repair, odometerKm: 2040, value: 5 });
  expect(marksOf(worn, forecasts)).toEqual([[2040, "after"]]);
  expect(linesOf([...worn, inspected(22, 2500, 4.4)], forecasts)).toEqual([
    [4, 3, 2],
    [5, 4.4],
  ]);
});

test("a renewal that nobody measured breaks the line all the same", () => {
  const forecasts = forecastOf({ at: repair, odometerKm: 2040, value: null });
  expect(linesOf([...worn, inspected(22, 2500, 4.4), inspected(29, 3000, 3.9)], forecasts)).toEqual([
    [4, 3, 2],
    [4.4, 3.9],
  ]);
});

test("a new part that nobody wrote down shows by its reading: no line rises to it", () => {
  const after = [inspected(22, 2500, 4.4), inspected(29, 3000, 3.9)];
  const forecasts = forecastOf({ at: "2026-06-22T12:00:00.000Z", odometerKm: 2500, value: 4.4 });
  expect(linesOf([...worn, ...after], forecasts)).toEqual([
    [4, 3, 2],
    [4.4, 3.9],
  ]);
  expect(marksOf([...worn, ...after], forecasts)).toEqual([[2500, "before"]]);
});

test("an inspection that replaced it is marked once, with the reading before the work on the old line", () => {
  const renewed = [inspected(22, 2500, 1.7, 5, true), inspected(29, 3000, 4.6)];
  const forecasts = forecastOf({ at: "2026-06-22T12:00:00.000Z", odometerKm: 2500, value: 5 });
  expect(linesOf([...worn, ...renewed], forecasts)).toEqual([
    [4, 3, 2, 1.7],
    [5, 4.6],
  ]);
  expect(marksOf([...worn, ...renewed], forecasts)).toEqual([[2500, "after"]]);
  // Before the forecast has come, the inspections alone say so.
  expect(marksOf([...worn, ...renewed], [])).toEqual([[2500, "after"]]);
});
