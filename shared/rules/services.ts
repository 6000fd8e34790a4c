// What a handbook has renewed or set by distance or by days beside the oil: brake fluid, valve clearance, belt, coolant. That brake fluid
// draws water and is changed every two years is a magazine's word, belts and coolant are common practice: so the figure is the handbook's
// alone, and where it has none nothing falls due.
import { itemsFor } from "../catalogue/sheet.ts";
import type { WeeklyAnswer } from "../contracts/checks.ts";
import type { Features, Handbook } from "../contracts/machine-model.ts";
import { localDay } from "./calendar.ts";
import { type DueAtItem, intervalDue } from "./engine.ts";
import type { MachineState } from "./machine-state.ts";
import type { DepotRules } from "./standing.ts";

type Interval = NonNullable<Handbook["oilChange"]>;
type Action = NonNullable<WeeklyAnswer["actions"]>[number];

interface Service {
  readonly every: (handbook: Handbook) => Interval | undefined;
  /** what has to be entered at the item for its interval to begin anew */
  readonly doneBy: readonly Action[];
}

const brakeFluid: Service = { every: (handbook) => handbook.brakeFluid, doneBy: ["replaced"] };

/** By the item of the weekly sheet at which it is done. */
const services: ReadonlyMap<string, Service> = new Map<string, Service>([
  ["front-hydraulics", brakeFluid],
  ["rear-hydraulics", brakeFluid],
  ["belt-weekly", { every: ({ belt }) => belt, doneBy: ["replaced"] }],
  ["coolant-level", { every: ({ coolant }) => coolant, doneBy: ["replaced"] }],
  ["valve-clearance", { every: ({ valveClearance }) => valveClearance, doneBy: ["adjusted", "replaced"] }],
]);

/** The items whose interval begins anew with these answers. */
export const servicedItems = (answers: readonly WeeklyAnswer[]): string[] =>
  answers.flatMap(({ itemId, actions = [] }) =>
    services.get(itemId)?.doneBy.some((one) => actions.includes(one)) === true ? [itemId] : [],
  );

/** The handbook's interval at an item; undefined where it has none. */
export const intervalAt = (itemId: string, handbook: Handbook): Interval | undefined => services.get(itemId)?.every(handbook);

/** Since when an interval runs: from the last time, or from the entry into the fleet while none is on record. */
export function runsSince(itemId: string, { services: done, entered, oil }: MachineState): { km: number; at: string; changed: boolean } {
  const last = done?.[itemId];
  if (last !== undefined) return { ...last, changed: true };
  const { km, at } = entered ?? oil;
  return { km, at, changed: false };
}

/** What of this machine falls due by the handbook beside its oil, in the order of the walk; each once, whether it is due yet or not. */
export function servicesAt(
  machine: { readonly features: Features; readonly handbook: Handbook; readonly state: MachineState; readonly depotRules: DepotRules },
  at: Date,
): DueAtItem[] {
  const { features, handbook, state, depotRules } = machine;
  const today = localDay(at, depotRules.timeZone);
  return itemsFor(features, "weekly").flatMap(({ id }): DueAtItem[] => {
    const interval = intervalAt(id, handbook);
    if (interval === undefined) return [];
    const { km, at: since, changed } = runsSince(id, state);
    const lastDay = localDay(new Date(since), depotRules.timeZone);
    return [{ itemId: id, changed, ...intervalDue({ lastKm: km, lastDay, nowKm: state.odometerKm, today, ...interval }) }];
  });
}
