// The legal limits of each rule set, with the text that each figure is from, and what happens where a rule set has none.
import { describe, expect, test } from "vitest";
import { ruleSets } from "../../shared/catalogue/rule-sets.ts";
import { sources } from "../../shared/catalogue/sources.ts";
import { type Handbook, type RuleSet, ruleSetSchema } from "../../shared/contracts/machine-model.ts";
import type { Quantity } from "../../shared/contracts/quantities.ts";
import { judgeReading } from "../../shared/rules/judge-reading.ts";
import { unitsFor } from "../../shared/units.ts";
import { wordByKey } from "../../shared/words/index.ts";
import { chainMachine } from "../support/machines.ts";

const handbook: Handbook = { rimMaterial: { front: "steel", rear: "aluminium" }, brakeRodNewMm: 6 };

const judge = (ruleSet: RuleSet, quantity: Quantity, value: number, engineCc: number | null = 125, book: Handbook = handbook) =>
  judgeReading({
    ruleSet,
    features: chainMachine,
    engineCc,
    handbook: book,
    quantity,
    reading: { asFound: value, unit: unitsFor(quantity)[0] },
  });

// [rule set, quantity, engine cm3, passes, fails, source]
test.each<[RuleSet, Quantity, number, number, number, string]>([
  ["gb", "front-tread", 125, 1.0, 0.9, "cu-27"], // SI 1986/1078 reg. 27(1)(g)
  ["gb", "front-wheel-run-out", 125, 4.0, 4.1, "mot-5.2.2"], // DVSA manual 5.2.2, steel
  ["gb", "rear-wheel-run-out", 125, 2.0, 2.1, "mot-5.2.2"], // DVSA manual 5.2.2, aluminium alloy
  ["gb", "brake-rod-diameter", 125, 4.0, 3.9, "mot-1.1.15"], // DVSA special notice 03-19, 1.1.15
  ["gb", "front-lining", 125, 1.5, 1.4, "mot-old-3.2"], // older manual 3.2, as a page restates it
  ["gb", "brake-efficiency", 125, 30, 29.9, "mot-old-3.3"], // older manual 3.3, one control
  ["eu", "brake-efficiency", 125, 50, 49.9, "directive-brakes"], // Directive 2014/45/EU Annex I 1.2.2, from memory: L3e 50 %
  ["eu", "brake-efficiency", 50, 42, 41.9, "directive-brakes"], // the same, from memory: L1e 42 %
  ["us-model", "rear-tread", 125, 1.5875, 1.5, "us-tread"], // 2/32 in = 1.5875 mm, as a page gives it
  ["us-model", "rear-tread", 49, 1.5875, 1.5, "us-tread"],
])("%s, %s at %d cm3: %f passes and %f fails, by its source", (ruleSet, quantity, engineCc, passes, fails, source) => {
  expect(judge(ruleSet, quantity, passes, engineCc)).toMatchObject({ result: "within" });
  expect(judge(ruleSet, quantity, fails, engineCc)).toMatchObject({ category: "major", asFound: { limit: { kind: "legal", source } } });
});

describe("a figure that a rule set does not have", () => {
  test.each<[RuleSet, Quantity]>([
    ["eu", "front-tread"],
    ["eu", "front-wheel-run-out"],
    ["eu", "brake-rod-diameter"],
    ["eu", "front-lining"],
    ["us-model", "rear-wheel-run-out"],
    ["us-model", "brake-rod-diameter"],
    ["us-model", "rear-lining"],
    ["us-model", "brake-efficiency"],
  ])("%s, %s: is not set, and nothing is judged by a guess", (ruleSet, quantity) => {
    for (const value of [0.1, 5, 30]) expect(judge(ruleSet, quantity, value)).toMatchObject({ result: "not-set", category: null });
  });

  test("leaves the handbook's own limit to decide", () => {
    const book: Handbook = { treadLeastMm: { front: 1.5 }, liningLeastMm: { front: 2 } };
    expect(judge("eu", "front-tread", 1.4, 125, book)).toMatchObject({ category: "minor", asFound: { outcome: "renew-soon" } });
    expect(judge("us-model", "front-lining", 1.9, 125, book)).toMatchObject({
      category: "major",
      asFound: { limit: { kind: "handbook" } },
    });
  });

  test("an electric machine's class under the directive is not known, so no figure is taken for it", () => {
    expect(judge("eu", "brake-efficiency", 10, null).result).toBe("not-set");
  });
});

test("every rule set that a depot can choose has its figures and a name; every figure has words and a source that exists", () => {
  expect(Object.keys(ruleSets).sort()).toEqual([...ruleSetSchema.options].sort());
  for (const [id, figures] of Object.entries(ruleSets)) {
    expect(wordByKey(`rule-set.${id}`).length).toBeGreaterThan(3);
    for (const [name, figure] of Object.entries(figures)) {
      expect(wordByKey(`figure.${name}`).length).toBeGreaterThan(3);
      if (figure) expect(sources[figure.source as keyof typeof sources].basis).toBeDefined();
    }
  }
});

test("a figure from memory says so", () => {
  expect(sources["directive-brakes"]).toMatchObject({ basis: "from-memory", note: expect.stringContaining("Not confirmed") });
});
