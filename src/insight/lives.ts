// How many kilometres parts last: from the renewal that fitted one to the renewal that replaced it, or to now if it is still in use.

import { itemsFor } from "../../shared/catalogue/sheet.ts";
import { type Component, type ComponentLife, componentSchema } from "../../shared/contracts/insight.ts";
import { groupBy } from "../../shared/group-by.ts";
import { word } from "../../shared/words/index.ts";
import { renewedPart, type WearingQuantity } from "../planning/index.ts";
import { type LifeTime, medianLife, survivalSteps } from "../statistics/index.ts";
import type { RenewalRow, WatchedItem, WorkRow } from "./part-store.ts";
import type { ModelRow, OdometerRow } from "./store.ts";

interface PartFacts {
  /** what it wears by; null: it is not measured, and a part at its items is this part */
  readonly quantity: WearingQuantity | null;
  /** items at which a renewal is a new part of this kind */
  readonly own: readonly string[];
  /** items whose repair may have fitted one: the readings before and after it tell */
  readonly near: readonly string[];
}

const tyre = (end: "front" | "rear"): PartFacts => ({
  quantity: `${end}-tread`,
  own: [`${end}-tyre-tread-weekly`],
  near: [`${end}-tyre-tread`, `${end}-tyre-pressure`, `${end}-tyre-pressure-weekly`, `${end}-wheel`],
});
const linings = (end: "front" | "rear"): PartFacts => ({
  quantity: `${end}-lining`,
  own: [`${end}-lining`],
  near: [...["cable", "rod", "hydraulic", "free-travel"].map((part) => `${end}-brake-${part}`), `${end}-hydraulics`],
});
const cable = (end: "front" | "rear"): PartFacts => ({
  quantity: null,
  own: [`${end}-brake-cable-ends`, `${end}-brake-cable`],
  near: [],
});
const partFacts: Readonly<Record<Component, PartFacts>> = {
  "front-tyre": tyre("front"),
  "rear-tyre": tyre("rear"),
  "front-linings": linings("front"),
  "rear-linings": linings("rear"),
  chain: { quantity: "chain-length", own: ["chain-wear"], near: ["chain", "chain-slack", "sprockets"] },
  "front-brake-cable": cable("front"),
  "rear-brake-cable": cable("rear"),
};

/** Where to look for renewals: each part at each of its items. */
export const watchedItems: readonly WatchedItem[] = componentSchema.options.flatMap((component) => {
  const { quantity, own, near } = partFacts[component];
  return [...own, ...near].map((itemId) => ({ component, itemId, quantity, own: own.includes(itemId) }));
});

/** The renewals among what was done: those that an inspection names, and the repairs that fitted a new part of the kind. */
export const renewalsAmong = (done: readonly WorkRow[]): RenewalRow[] =>
  done.filter(({ component, told, parts, own, before, after, observationIds, handbook }) => {
    if (told) return true;
    const { quantity } = partFacts[component];
    if (quantity === null) return own && parts > 0;
    return renewedPart({ quantity, parts, ownItem: own, observationIds: observationIds ?? [], before, after }, handbook);
  });

/** A machine that comes with no more on its odometer is new, and all its parts with it: common practice, no source. */
const NEW_MACHINE_KM = 200;

/** Kilometres ridden since the first record: settings of the odometer are undone, so a new odometer loses nothing and a correction adds nothing. */
const riddenAt = ({ sets }: Pick<OdometerRow, "sets">, odometerKm: number, position: number): number =>
  (sets ?? []).reduce((km, set) => km + (set.position <= position ? set.fromKm - set.toKm : 0), odometerKm);

/**
 * Lives of one kind of part on one machine. Only lives whose beginning is known: after a renewal, or on a machine that came new. The age of a
 * part that was on the machine before records began is unknown. A part still in use counts with the distance so far.
 */
export function livesOn(component: Component, machine: OdometerRow, renewals: readonly RenewalRow[]): LifeTime[] {
  const own = renewals.filter((renewal) => renewal.component === component);
  const isNew = machine.enteredKm !== null && machine.enteredKm <= NEW_MACHINE_KM;
  // Its kilometres before the first record belong to the part too.
  const fitted = [...(isNew ? [0] : []), ...own.map(({ odometerKm, position }) => riddenAt(machine, odometerKm, position))];
  // Two renewals without a kilometre between them are one, recorded twice: by the inspection that found it and by the repair.
  const starts = [...new Set(fitted)].sort((one, other) => one - other);
  const end = riddenAt(machine, machine.lastKm, machine.lastPosition);
  return starts.map((start, index) => {
    const next = starts[index + 1];
    return { at: Math.max(0, (next ?? end) - start), event: next !== undefined };
  });
}

const has = ({ features }: ModelRow, component: Component): boolean =>
  itemsFor(features, "weekly").some(({ id }) => partFacts[component].own.includes(id));

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
