// Days of a period as the moments that they begin and end at, depot by depot: figures are counted on the clock of the depot.
import { endOfDay, startOfDay } from "../../shared/rules/calendar.ts";
import type { Period } from "../platform/index.ts";

export interface DepotOfFigures {
  readonly id: string;
  readonly timeZone: string;
}

/** One of the periods asked for, the `n`th, at one depot; its end is no part of it. */
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

/** The stretches as far as they have come by then; those that are still to come are left out. */
export const cutAt = (stretches: readonly Stretch[], now: Date): Stretch[] =>
  stretches.flatMap((stretch) => (stretch.opens >= now ? [] : [stretch.closes <= now ? stretch : { ...stretch, closes: now }]));
