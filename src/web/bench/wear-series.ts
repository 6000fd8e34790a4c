// The readings of a machine as lines of wear: a new part begins a new line, whether an inspection or a repair fitted it.
import type { ListedWeeklyInspection } from "../../../shared/contracts/inspections-read.ts";
import type { MachineForecast } from "../../../shared/contracts/planning.ts";
import type { Quantity } from "../../../shared/contracts/quantities.ts";

export type Forecast = MachineForecast["forecasts"][number];
type Verdict = ListedWeeklyInspection["verdicts"][number];

export interface Point {
  readonly at: string;
  readonly km: number;
  readonly found: number | null;
  readonly left: number | null;
  /** a new part: fitted after `found` was read, or it was the new one that was found; null: none */
  readonly renewed: "after" | "before" | null;
}

export interface Series {
  readonly quantity: Quantity;
  readonly unit: Verdict["reading"]["unit"];
  readonly limit: Verdict["asFound"]["limit"];
  /** oldest first */
  readonly points: readonly Point[];
}

/**
 * For each quantity the readings in the unit of the newest one; readings in another unit are left out, not converted. When parts were renewed
 * comes from the forecast, which knows of repairs too; without a forecast, from the inspections.
 */
export function seriesOf(
  newestFirst: readonly Pick<ListedWeeklyInspection, "verdicts" | "answers" | "performedAt" | "odometerKm">[],
  forecasts: readonly Pick<Forecast, "quantity" | "unit" | "renewals">[],
): Series[] {
  const series = new Map<Quantity, { unit: Series["unit"]; limit: Series["limit"]; points: Point[] }>();
  for (const { verdicts, answers, performedAt, odometerKm } of newestFirst) {
    for (const { quantity, reading, asFound, itemId } of verdicts) {
      const own = series.get(quantity) ?? { unit: reading.unit, limit: asFound.limit, points: [] };
      series.set(quantity, own);
      if (reading.unit !== own.unit) continue;
      const replaced = answers.find((answer) => answer.itemId === itemId)?.actions?.includes("replaced") === true;
      const values = { found: reading.asFound, left: reading.asLeft ?? null };
      own.points.push({ at: performedAt, km: odometerKm, ...values, renewed: replaced ? "after" : null });
    }
  }
  return [...series].map(([quantity, { unit, limit, points }]) => {
    const forecast = forecasts.find((one) => one.quantity === quantity);
    return { quantity, unit, limit, points: withRenewals(points.reverse(), forecast, unit) };
  });
}

function withRenewals(points: readonly Point[], forecast: Pick<Forecast, "unit" | "renewals"> | undefined, unit: Series["unit"]): Point[] {
  const first = points[0]?.at ?? "";
  const renewals = new Map((forecast?.renewals ?? []).filter(({ at }) => at >= first).map((one) => [one.at, one]));
  const known = points.map((point): Point => {
    if (!renewals.delete(point.at) || point.renewed !== null) return point;
    return { ...point, renewed: point.left === null ? "before" : "after" };
  });
  const worked = [...renewals.values()].map(({ at, odometerKm, value }): Point => {
    return { at, km: odometerKm, found: null, left: forecast?.unit === unit ? value : null, renewed: "after" };
  });
  return [...known, ...worked].sort((one, other) => (one.at < other.at ? -1 : one.at > other.at ? 1 : 0));
}

/** The lines between renewals and adjustments: each begins with the value as left. */
export function stretches(points: readonly Point[]): { km: number; value: number }[][] {
  const lines: { km: number; value: number }[][] = [[]];
  for (const { km, found, left, renewed } of points) {
    if (renewed === "before") lines.push([]);
    if (found !== null) lines.at(-1)?.push({ km, value: found });
    if (left !== null || renewed === "after") lines.push(left === null ? [] : [{ km, value: left }]);
  }
  return lines.filter((line) => line.length > 1);
}
