// A period's days as moments, depot by depot, since figures are counted in the time zone of the depot.
import { endOfDay, startOfDay } from "../../shared/rules/calendar.ts";
import type { Period } from "../platform/index.ts";

export interface DepotOfFigures {
  readonly id: string;
  readonly timeZone: string;
}

/** The `n`th of the periods asked for, at one depot; its end is exclusive. */
export interface Stretch {
  readonly n: number;
  readonly depotId: string;
  readonly opens: Date;
  readonly closes: Date;
}

export const stretchesOf = (depots: readonly DepotOfFigures[], periods: readonly Period[]): Stretch[] =>
  periods.flatMap(({ from, to }, n) =>
    depots.map(({ id, timeZone }) => ({ n, depotId: id, opens: startOfDay(from, timeZone), closes: endOfDay(to, timeZone) })),
  );

/** The stretches cut off at `now`; those in the future are left out. */
export const cutAt = (stretches: readonly Stretch[], now: Date): Stretch[] =>
  stretches.flatMap((stretch) => (stretch.opens >= now ? [] : [stretch.closes <= now ? stretch : { ...stretch, closes: now }]));
