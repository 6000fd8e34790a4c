// How often things fail, and how long it takes to clear them.
import { itemsFor } from "../../shared/catalogue/sheet.ts";
import { type Category, categorySchema } from "../../shared/contracts/common.ts";
import type { DefectRates, Rate, TimeToClear } from "../../shared/contracts/insight.ts";
import { word } from "../../shared/words/index.ts";
import { nameOfItem } from "../../shared/words/say-reason.ts";
import {
  clearMs,
  type DoneAct,
  daysTogether,
  type FoundDefect,
  figuresFrom,
  leastMachineDays,
  rateOf,
  type ServiceRow,
} from "../figures/index.ts";
import { type SurvivalStep, survivalSteps } from "../statistics/index.ts";
import type { DepotRow, ModelRow } from "./store.ts";

/** The gravest first, everywhere. */
const categories = [...categorySchema.options].reverse();

export interface RateRows {
  readonly found: readonly FoundDefect[];
  readonly done: readonly DoneAct[];
  readonly service: readonly ServiceRow[];
  readonly models: readonly ModelRow[];
  readonly depots: readonly DepotRow[];
}

export type Rates = Omit<DefectRates, "depotId" | "from" | "to" | "caution" | "timeToClear">;

/** Rates of all defects, and broken down in several ways. The rate of an item uses only the days of machines that have it. */
export function ratesOf({ found, done, service, models, depots }: RateRows): Rates {
  const figures = figuresFrom(service, found, done);
  const { machineDays } = figures.service;
  const count = (keep: (defect: FoundDefect) => boolean): number => found.filter(keep).length;
  const exposure = (keep: (row: ServiceRow) => boolean): number => daysTogether(service.filter(keep)).machineDays;
  const having = modelsHaving(models);
  const items = [...new Set(found.map(({ itemId }) => itemId))];
  return {
    ...figures.service,
    groundedDays: figures.service.lostDays.grounded,
    leastMachineDays,
    all: figures.rate,
    noFault: figures.defects.noFault,
    done: figures.done,
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
      .filter(({ id }) => service.some(({ modelId }) => modelId === id) || found.some(({ modelId }) => modelId === id))
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
      lostDays: daysTogether(service.filter(({ depotId }) => depotId === id)).lostDays.all,
    })),
  };
}

/** Whether the machines of a model have an item. An item that is on none of today's sheets counts as being on every machine. */
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

/** The first age beyond which no more than `share` survive; null if more than that survived the last event. */
export const ageAt = (steps: readonly SurvivalStep[], share: number): number | null =>
  // A tolerance smaller than one count can make, so that rounding in the product of shares does not matter.
  steps.find(({ survival }) => survival <= share + 1e-12)?.at ?? null;

/** How long a defect has been open, and whether it was cleared at the end. */
export interface ClearTime {
  readonly category: Category;
  readonly hours: number;
  readonly cleared: boolean;
}

const hourMs = 3_600_000;
export const clearTimeOf = ({ category, seenAt, closedAt }: FoundDefect, now: Date): ClearTime => ({
  category,
  hours: clearMs(seenAt, closedAt ?? now) / hourMs,
  cleared: closedAt !== null,
});

/** Quartiles of the time to clear, by Kaplan and Meier: open defects count with their time so far. */
export function timeToClear(rows: readonly Pick<ClearTime, "hours" | "cleared">[]): TimeToClear {
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

export const clearTimes = (rows: readonly ClearTime[]): DefectRates["timeToClear"] => ({
  all: timeToClear(rows),
  byCategory: categories.map((category) => ({ category, ...timeToClear(rows.filter((row) => row.category === category)) })),
});
