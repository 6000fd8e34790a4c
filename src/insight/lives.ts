// How far parts last: from the renewal that fitted one to the renewal that replaced it, or to now where it still runs.
import { itemsFor } from "../../shared/catalogue/sheet.ts";
import { type Component, type ComponentLife, componentSchema } from "../../shared/contracts/insight.ts";
import { word } from "../../shared/words/index.ts";
import { type LifeTime, medianLife, survivalSteps } from "../planning/index.ts";
import { groupBy } from "./group-by.ts";
import type { ModelRow, OdometerRow, RenewalRow } from "./store.ts";

/**
 * The items at which a renewal is a new part of this kind. A nail in the tread is a daily finding, and its repair a new tube more often
 * than a new tyre, so that only the weekly measuring of the tread counts here.
 */
const itemsOf: Readonly<Record<Component, readonly string[]>> = {
  "front-tyre": ["front-tyre-tread-weekly"],
  "rear-tyre": ["rear-tyre-tread-weekly"],
  "front-linings": ["front-lining"],
  "rear-linings": ["rear-lining"],
  chain: ["chain-wear"],
  "front-brake-cable": ["front-brake-cable-ends", "front-brake-cable"],
  "rear-brake-cable": ["rear-brake-cable-ends", "rear-brake-cable"],
};
export const watchedItems: readonly string[] = Object.values(itemsOf).flat();

/** A machine that comes with no more on its odometer is new, and all its parts with it: common practice, no source. */
const NEW_MACHINE_KM = 200;

/** Kilometres ridden since the first record: what a new odometer hides is added, what one that was set right showed too much is taken off. */
const riddenAt = ({ sets }: Pick<OdometerRow, "sets">, odometerKm: number, position: number): number =>
  (sets ?? []).reduce((km, set) => km + (set.position <= position ? set.fromKm - set.toKm : 0), odometerKm);

/**
 * Lives of one kind of part on one machine. Only those whose beginning is known: after a renewal, or on a machine that came new. A part
 * that was on the machine before anybody kept records has an age that nobody knows. One that still runs counts as far as it has run.
 */
export function livesOn(component: Component, machine: OdometerRow, renewals: readonly RenewalRow[]): LifeTime[] {
  const own = renewals.filter(({ itemId }) => itemsOf[component].includes(itemId));
  const isNew = machine.enteredKm !== null && machine.enteredKm <= NEW_MACHINE_KM;
  // Its kilometres before the first record belong to the part too.
  const starts = [...(isNew ? [0] : []), ...own.map(({ odometerKm, position }) => riddenAt(machine, odometerKm, position))];
  const end = riddenAt(machine, machine.lastKm, machine.lastPosition);
  return starts.map((start, index) => {
    const next = starts[index + 1];
    return { at: Math.max(0, (next ?? end) - start), event: next !== undefined };
  });
}

const has = ({ features }: ModelRow, component: Component): boolean =>
  itemsFor(features, "weekly").some(({ id }) => itemsOf[component].includes(id));

/** Survival by kilometres for each kind of part that the machines have. */
export function componentLives(
  machines: readonly OdometerRow[],
  renewals: readonly RenewalRow[],
  models: readonly ModelRow[],
): ComponentLife["components"] {
  const byMachine = groupBy(renewals, ({ machineId }) => machineId);
  const modelById = new Map(models.map((model) => [model.id, model]));
  return componentSchema.options.map((component) => {
    const lives = machines
      .filter(({ modelId }) => {
        const model = modelById.get(modelId);
        return model !== undefined && has(model, component);
      })
      .flatMap((machine) => livesOn(component, machine, byMachine.get(machine.machineId) ?? []));
    const steps = survivalSteps(lives);
    const renewed = lives.filter(({ event }) => event).length;
    return {
      component,
      name: word(`insight.component.${component}`),
      parts: lives.length,
      renewed,
      running: lives.length - renewed,
      longestKm: lives.reduce<number | null>((longest, { at }) => Math.max(longest ?? 0, at), null),
      medianKm: medianLife(steps),
      steps: steps.map(({ at, ...step }) => ({ atKm: at, ...step })),
    };
  });
}
