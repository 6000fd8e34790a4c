// A wheel must not leave the bench loose: what was loosened for a work is asked for once, at the last item on the walk that tightens it.
// Which work takes a wheel out is common practice, no source; torque and lock of a spindle are DVSA manual 5.2.1.
import { describe, expect, test } from "vitest";
import { itemsFor } from "../../shared/catalogue/sheet.ts";
import type { WeeklyAnswer } from "../../shared/contracts/checks.ts";
import type { Features } from "../../shared/contracts/machine-model.ts";
import { type Action, itemsToFinish } from "../../shared/rules/put-right.ts";
import { chainMachine, electricMachine } from "../support/machines.ts";

const asked = (features: Features, ...done: readonly (readonly [itemId: string, ...actions: Action[]])[]): string[] => {
  const sheet = itemsFor(features, "weekly");
  const answers = sheet.map(({ id }): WeeklyAnswer => {
    const [, ...actions] = done.find(([itemId]) => itemId === id) ?? [id];
    return { itemId: id, result: "ok", ...(actions.length > 0 ? { actions } : {}) };
  });
  return itemsToFinish(answers, new Map(sheet.map((item) => [item.id, item])));
};
const belted: Features = { ...chainMachine, drive: "belt" };

describe("after work that loosens a wheel, its nut is asked for", () => {
  test("a chain that was moved: the last item of the drive", () => {
    for (const action of ["adjusted", "replaced"] as const)
      expect(asked(chainMachine, ["chain-slack", action])).toEqual(["rear-wheel-fast"]);
    expect(asked(chainMachine, ["sprockets", "replaced"])).toEqual(["rear-wheel-fast"]);
    expect(asked(chainMachine, ["chain-slack", "lubricated"], ["sprockets", "tightened"])).toEqual([]);
  });

  test.each(["tyre-tread-weekly", "spokes", "wheel-run-out", "wheel-bearings", "lining"])("a new part with the wheel out: %s", (part) => {
    expect(asked(chainMachine, [`front-${part}`, "replaced"])).toEqual(["front-spindle"]);
    // On a chain the rear wheel is tight only after the chain was set, so it is asked for once and there.
    expect(asked(chainMachine, [`rear-${part}`, "replaced"])).toEqual(["rear-wheel-fast"]);
    expect(asked(belted, [`rear-${part}`, "replaced"])).toEqual(["rear-spindle"]);
    expect(asked(chainMachine, [`front-${part}`, "adjusted"])).toEqual([]);
  });

  test("new pads of a disc: the bolts of the caliper, for the wheel stays in", () => {
    expect(asked(electricMachine, ["front-lining", "replaced"], ["rear-lining", "replaced"])).toEqual(["front-caliper", "rear-caliper"]);
  });

  test("not where the tightening was entered", () => {
    expect(asked(chainMachine, ["chain-slack", "adjusted"], ["rear-wheel-fast", "tightened"])).toEqual([]);
    expect(asked(chainMachine, ["front-lining", "replaced"], ["front-spindle", "lubricated", "tightened"])).toEqual([]);
  });
});

test("what finishes a work comes after it on the walk, so that a sheet answered from top to bottom ends tight", () => {
  for (const features of [chainMachine, belted, electricMachine]) {
    const sheet = itemsFor(features, "weekly");
    for (const [place, { id, finishes = [] }] of sheet.entries())
      for (const { itemId } of finishes)
        expect([id, itemId, sheet.findIndex((item) => item.id === itemId) < place]).toEqual([id, itemId, true]);
  }
});
