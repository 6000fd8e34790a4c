// How far machines were ridden, from their odometers. Pure.
import type { MachineEntry } from "../fleet/index.ts";
import { odometerByHand } from "../fleet/index.ts";
import { distanceAt, distanceRidden, type OdometerSight } from "../planning/index.ts";

/** A stretch of time in milliseconds, its end exclusive. */
export interface Span {
  readonly starts: number;
  readonly ends: number;
}

const dayMs = 86_400_000;

/**
 * The kilometres in these spans, linear between two readings; null where no two readings lie in them with a day between, so that nobody knows. What the odometer
 * showed as the machine was added is a reading of that moment.
 */
export function kmRidden(
  read: readonly { readonly at: string; readonly odometerKm: number }[],
  entries: readonly MachineEntry[],
  spans: readonly Span[],
): number | null {
  const { added, set } = odometerByHand(entries);
  const first = added === null ? [] : [added];
  const readings = [...first, ...read].map(({ at, odometerKm }): OdometerSight => ({ kind: "read", at, odometerKm }));
  const byHand = set.map((one): OdometerSight => ({ kind: "set", ...one }));
  const within = readings
    .map(({ at }) => Date.parse(at))
    .filter((at) => spans.some(({ starts, ends }) => at >= starts && at <= ends))
    .sort((one, other) => one - other);
  if ((within.at(-1) ?? 0) - (within[0] ?? 0) < dayMs) return null;
  const points = distanceRidden([...readings, ...byHand].sort((one, other) => (one.at < other.at ? -1 : one.at > other.at ? 1 : 0)));
  const at = (moment: number): number => distanceAt(points, new Date(moment).toISOString());
  return spans.reduce((km, { starts, ends }) => km + at(ends) - at(starts), 0);
}
