// How often things fail, and how long it takes to clear them.
import { itemsFor } from "../../shared/catalogue/sheet.ts";
import { categorySchema } from "../../shared/contracts/common.ts";
import type { DefectRates, Rate, TimeToClear } from "../../shared/contracts/insight.ts";
import { word } from "../../shared/words/index.ts";
import { nameOfItem } from "../../shared/words/say-reason.ts";
import { poissonRate, type SurvivalStep, survivalSteps } from "../planning/index.ts";
import type { ClearTimeRow, DefectCountRow, DepotRow, MachineDaysRow, ModelRow } from "./store.ts";

/** Defects in 1,000 machine-days with the exact Poisson interval; without machine-days there is no rate. */
export function rateOf(defects: number, machineDays: number): Rate {
  if (machineDays <= 0) return { defects, machineDays: 0, per1000: null, low: null, high: null };
  const { rate, low, high } = poissonRate(defects, machineDays / 1000);
  return { defects, machineDays, per1000: rate, low, high };
}

/** The gravest first, everywhere. */
const categories = [...categorySchema.options].reverse();

export interface RateRows {
  readonly defects: readonly DefectCountRow[];
  readonly days: readonly MachineDaysRow[];
  readonly models: readonly ModelRow[];
  readonly depots: readonly DepotRow[];
}

export type Rates = Pick<DefectRates, "machineDays" | "groundedDays" | "all" | "byCategory" | "byItem" | "byModel" | "byDepot">;

/** Rates of all defects, and by what they can be told apart by. An item counts the days of those machines that have it. */
export function ratesOf({ defects, days, models, depots }: RateRows): Rates {
  const count = (keep: (row: DefectCountRow) => boolean): number => defects.reduce((sum, row) => sum + (keep(row) ? row.defects : 0), 0);
  const exposure = (keep: (row: MachineDaysRow) => boolean): number =>
    days.reduce((sum, row) => sum + (keep(row) ? row.machineDays : 0), 0);
  const machineDays = exposure(() => true);
  const having = modelsHaving(models);
  const items = [...new Set(defects.map(({ itemId }) => itemId))];
  return {
    machineDays,
    groundedDays: days.reduce((sum, row) => sum + row.groundedDays, 0),
    all: rateOf(
      count(() => true),
      machineDays,
    ),
    byCategory: categories.map((category) => ({
      category,
      ...rateOf(
        count((row) => row.category === category),
        machineDays,
      ),
    })),
    byItem: mostFirst(
      items.map((itemId) => ({
        itemId,
        itemName: itemId === null ? word("insight.no-item") : nameOfItem(itemId),
        ...rateOf(
          count((row) => row.itemId === itemId),
          exposure(({ modelId }) => itemId === null || having(itemId, modelId)),
        ),
      })),
      ({ itemName: name }) => name,
    ),
    byModel: models
      .filter(({ id }) => days.some(({ modelId }) => modelId === id) || defects.some(({ modelId }) => modelId === id))
      .map(({ id, name }) => ({
        modelId: id,
        modelName: name,
        ...rateOf(
          count(({ modelId }) => modelId === id),
          exposure(({ modelId }) => modelId === id),
        ),
      })),
    byDepot: depots.map(({ id, name }) => ({
      depotId: id,
      name,
      ...rateOf(
        count(({ depotId }) => depotId === id),
        exposure(({ depotId }) => depotId === id),
      ),
    })),
  };
}

/** Whether the machines of a model have an item. One that no sheet of today knows counts for all of them. */
function modelsHaving(models: readonly ModelRow[]): (itemId: string, modelId: string) => boolean {
  const items = new Map(
    models.map(({ id, features }) => [
      id,
      new Set([...itemsFor(features, "daily"), ...itemsFor(features, "weekly")].map((item) => item.id)),
    ]),
  );
  const known = new Set([...items.values()].flatMap((ids) => [...ids]));
  return (itemId, modelId) => !known.has(itemId) || items.get(modelId)?.has(itemId) === true;
}

const mostFirst = <Row extends Rate>(rows: readonly Row[], nameOf: (row: Row) => string): Row[] =>
  [...rows].sort((one, other) => other.defects - one.defects || (nameOf(one) < nameOf(other) ? -1 : 1));

/** The first age that no more than `share` live past; null where more still did at the last event. */
export const ageAt = (steps: readonly SurvivalStep[], share: number): number | null =>
  // Finer than any count, so that rounding in a product of shares does not miss its mark.
  steps.find(({ survival }) => survival <= share + 1e-12)?.at ?? null;

/** Quartiles of the time to clear after Kaplan and Meier: defects still open count for as long as they have been. */
export function timeToClear(rows: readonly Pick<ClearTimeRow, "hours" | "cleared">[]): TimeToClear {
  const steps = survivalSteps(rows.map(({ hours, cleared }) => ({ at: hours, event: cleared })));
  const cleared = rows.filter((row) => row.cleared).length;
  return {
    found: rows.length,
    cleared,
    open: rows.length - cleared,
    lowerQuartileHours: ageAt(steps, 0.75),
    medianHours: ageAt(steps, 0.5),
    upperQuartileHours: ageAt(steps, 0.25),
  };
}

export const clearTimes = (rows: readonly ClearTimeRow[]): DefectRates["timeToClear"] => ({
  all: timeToClear(rows),
  byCategory: categories.map((category) => ({ category, ...timeToClear(rows.filter((row) => row.category === category)) })),
});
