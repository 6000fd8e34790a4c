import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { sourceByKey } from "../../shared/catalogue/sources.ts";
import type { Handbook } from "../../shared/contracts/machine-model.ts";
import { type Quantity, quantitySchema, type Unit } from "../../shared/contracts/quantities.ts";
import { type JudgedMachine, judgeReading, readingWithinLimits } from "../../shared/rules/judge-reading.ts";
import type { DecidingLimit } from "../../shared/rules/verdict.ts";
import { convert, possibleWindow, UnitError, unitsFor } from "../../shared/units.ts";
import { chainMachine, testHandbook } from "../support/machines.ts";

const features = chainMachine;

const handbook: Handbook = {
  ...testHandbook,
  tyrePressure: {
    front: { solo: { value: 175, unit: "kPa" }, laden: { value: 200, unit: "kPa" } },
    rear: { solo: { value: 28, unit: "psi" }, laden: { value: 40, unit: "psi" } },
  },
  chainSlack: { ...testHandbook.chainSlack, minMm: 10, maxMm: 20 },
};

const machine: JudgedMachine = { features, engineCc: 125, handbook, ruleSet: "gb" };
const silent: JudgedMachine = { ...machine, handbook: {} };

const judge = (quantity: Quantity, asFound: number, asLeft?: number, unit: Unit = unitsFor(quantity)[0], on = machine) =>
  judgeReading({ ...on, quantity, reading: asLeft === undefined ? { asFound, unit } : { asFound, asLeft, unit } });

/** For each quantity that has a limit on this machine: a value within, one outside, and the category of the one outside when left so. */
const samples: readonly (readonly [Quantity, number, number, "minor" | "major"])[] = [
  ["front-tyre-pressure", 175, 150, "minor"],
  ["front-tyre-pressure", 175, 131.25, "major"],
  ["rear-tyre-pressure", 195, 230, "minor"],
  ["front-tread", 1.5, 1.2, "minor"],
  ["rear-tread", 2, 0.9, "major"],
  ["chain-slack", 15, 25, "minor"],
  ["chain-slack", 15, 45, "major"],
  ["chain-length", 256, 260, "minor"],
  ["chain-length", 256, 262, "major"],
  ["front-brake-free-travel", 25, 15, "minor"],
  ["rear-brake-free-travel", 25, 15, "minor"],
  ["front-lining", 2, 1.9, "major"],
  ["rear-lining", 2, 1.9, "major"],
  ["front-wheel-run-out", 2, 3, "minor"],
  ["rear-wheel-run-out", 2, 4.1, "major"],
  ["brake-rod-diameter", 4, 3.9, "major"],
  ["plug-gap", 0.65, 0.9, "minor"],
  ["clutch-free-travel", 15, 25, "minor"],
  ["throttle-free-play", 3, 7, "minor"],
  ["engine-oil-level", 50, -10, "minor"],
  ["gearcase-oil-level", 50, -10, "minor"],
  ["brake-efficiency", 30, 29.9, "major"],
];

describe("as found and as left come to one result", () => {
  test.each(samples)("%s: %f is within; %f is a defect left so, and corrected when put right", (quantity, inside, outside, category) => {
    expect(judge(quantity, inside)).toMatchObject({ result: "within", category: null, asLeft: null });
    expect(judge(quantity, inside, inside)).toMatchObject({ result: "within", category: null });
    expect(judge(quantity, outside)).toMatchObject({ result: "defect", category });
    expect(judge(quantity, outside, outside)).toMatchObject({ result: "defect", category });
    expect(judge(quantity, outside, inside)).toMatchObject({ result: "corrected", category: null });
    expect(judge(quantity, inside, outside)).toMatchObject({ result: "defect", category });
  });

  test("every quantity but the odometer and the charge has a sample above", () => {
    const sampled = new Set<Quantity>([...samples.map(([quantity]) => quantity), "odometer", "charge"]);
    expect([...sampled].sort()).toEqual([...quantitySchema.options].sort());
  });

  test("a tyre found 25 % under stays major until it is left within: air put in does not stop a leak", () => {
    // 49 CFR 571.138 S4.2(a) as the warning threshold
    expect(judge("front-tyre-pressure", 120, 150)).toMatchObject({ result: "defect", category: "major" });
    expect(judge("front-tyre-pressure", 120, 175)).toMatchObject({ result: "corrected", category: null });
  });

  test("a chain that fouled and no longer does is minor while its slack is still outside", () => {
    expect(judge("chain-slack", 45, 25)).toMatchObject({ result: "defect", category: "minor" });
  });

  test("a brake that stays too long after adjusting has worn shoes; one that nobody adjusted yet has not shown it", () => {
    expect(judge("rear-brake-free-travel", 35)).toMatchObject({ result: "defect", category: "minor" });
    expect(judge("rear-brake-free-travel", 35, 32)).toMatchObject({ result: "defect", category: "major" });
  });

  test("a chain length as left that cannot be true leaves the chain as found", () => {
    expect(judge("chain-length", 262, 240)).toMatchObject({ result: "defect", category: "major", asLeft: { measureAgain: true } });
    expect(judge("chain-length", 240)).toMatchObject({ result: "not-set", asFound: { measureAgain: true } });
  });

  test("each end is judged by its own figures", () => {
    const printed = (value: number) => ({ solo: { value, unit: "kPa" as const } });
    const ends: Handbook = {
      tyrePressure: { front: printed(150), rear: printed(300) },
      treadLeastMm: { front: 3, rear: 4 },
      brakeFreeTravel: { front: { minMm: 1, maxMm: 2 }, rear: { minMm: 1, maxMm: 3 } },
      liningLeastMm: { front: 3, rear: 4 },
      wheelRunOutMostMm: { front: 0.5, rear: 1 },
      rimMaterial: { front: "aluminium", rear: "steel" },
    };
    for (const [what, key] of [
      ["tyre-pressure", "least"],
      ["tread", "least"],
      ["brake-free-travel", "most"],
      ["lining", "least"],
      ["wheel-run-out", "most"],
    ] as const) {
      const limitAt = (end: "front" | "rear"): number | null => {
        const quantity = `${end}-${what}` as Quantity;
        return judge(quantity, what === "tyre-pressure" ? 150 : 0.5, undefined, unitsFor(quantity)[0], {
          ...silent,
          engineCc: 49,
          handbook: ends,
        }).asFound.limit[key];
      };
      expect(limitAt("front"), what).toBeLessThan(limitAt("rear") ?? Number.NaN);
    }
    // DVSA inspection manual for motorcycles 5.2.2
    expect(judge("front-wheel-run-out", 3, undefined, "mm", { ...silent, handbook: ends }).category).toBe("major");
    expect(judge("rear-wheel-run-out", 3, undefined, "mm", { ...silent, handbook: ends }).category).toBe("minor");
  });

  test("the laden figure counts for a machine that is loaded", () => {
    expect(judge("front-tyre-pressure", 165).result).toBe("within");
    expect(judge("front-tyre-pressure", 165, undefined, "kPa", { ...machine, load: "laden" }).result).toBe("defect");
  });
});

describe("where the handbook is silent", () => {
  test("there is no limit, except where the law or common practice has one", () => {
    const limited: Partial<Record<Quantity, DecidingLimit["kind"]>> = {
      "front-tread": "legal",
      "rear-tread": "legal",
      "front-lining": "legal",
      "rear-lining": "legal",
      // DVSA inspection manual 5.2.2: over 4 mm fails on any rim.
      "front-wheel-run-out": "legal",
      "rear-wheel-run-out": "legal",
      "chain-slack": "common-practice",
      charge: "common-practice",
      "engine-oil-level": "handbook",
      "gearcase-oil-level": "handbook",
      "brake-efficiency": "legal",
    };
    for (const quantity of quantitySchema.options) {
      const verdict = judge(quantity, 40, undefined, unitsFor(quantity)[0], silent);
      expect(verdict.asFound.limit.kind, quantity).toBe(limited[quantity] ?? "not-set");
      if (limited[quantity] === undefined) expect(verdict, quantity).toMatchObject({ result: "not-set", category: null });
    }
  });

  test("the engine's capacity decides whether the law sets a tread depth", () => {
    // SI 1986/1078 reg. 27(4)
    expect(judge("rear-tread", 0.9, undefined, "mm", { ...silent, engineCc: 49 })).toMatchObject({ result: "not-set" });
    expect(judge("rear-tread", 0.9, undefined, "mm", silent)).toMatchObject({ result: "defect", category: "major" });
    const electric = { ...silent, engineCc: null, features: { ...features, power: "electric" as const } };
    expect(judge("rear-tread", 0.9, undefined, "mm", electric)).toMatchObject({ result: "defect", category: "major" });
  });
});

describe("what a sign-off needs", () => {
  test.each(samples)("%s: %f will do and %f will not", (quantity, inside, outside) => {
    const unit = unitsFor(quantity)[0];
    expect(readingWithinLimits({ ...machine, quantity, value: inside, unit }).ok).toBe(true);
    expect(readingWithinLimits({ ...machine, quantity, value: outside, unit }).ok).toBe(false);
  });

  test("the limit is named; no limit is no obstacle, an impossible value is", () => {
    expect(readingWithinLimits({ ...machine, quantity: "front-lining", value: 1.9, unit: "mm" }).limit).toEqual({
      kind: "handbook",
      least: 2,
      most: null,
      unit: "mm",
      source: "handbook",
    });
    expect(readingWithinLimits({ ...silent, quantity: "plug-gap", value: 0.1, unit: "mm" })).toMatchObject({
      ok: true,
      limit: { kind: "not-set" },
    });
    expect(readingWithinLimits({ ...machine, quantity: "chain-length", value: 240, unit: "mm" }).ok).toBe(false);
  });
});

describe("for any value that a gauge can show", () => {
  const anyReading = fc.constantFrom(...quantitySchema.options).chain((quantity) =>
    fc.constantFrom(...unitsFor(quantity)).chain((unit) => {
      const value = fc.double({ ...possibleWindow(quantity, unit), noNaN: true });
      return fc.record({ quantity: fc.constant(quantity), unit: fc.constant(unit), asFound: value, asLeft: fc.option(value) });
    }),
  );

  test("a verdict holds together: category with defect only, corrected only by an as left within, sources that exist", () => {
    fc.assert(
      fc.property(anyReading, fc.constantFrom(machine, silent), ({ quantity, unit, asFound, asLeft }, on) => {
        const verdict = judge(quantity, asFound, asLeft ?? undefined, unit, on);
        expect(verdict.category !== null).toBe(verdict.result === "defect");
        if (verdict.result === "corrected") expect(verdict.asLeft?.outcome).toBe("within");
        if (verdict.asLeft?.outcome === "within") expect(verdict.result).not.toBe("defect");
        for (const value of [verdict.asFound, verdict.asLeft]) {
          if (value === null) continue;
          expect(sourceByKey(value.limit.source), value.limit.source).toBeDefined();
          if (value.categoryBy !== undefined) expect(sourceByKey(value.categoryBy.source)).toBeDefined();
          expect(value.category !== null).toBe(!["within", "not-set"].includes(value.outcome));
          if (value.outcome === "within" || value.outcome === "not-set") expect(value.offBy).toBe(0);
        }
      }),
      { numRuns: 2000 },
    );
  });

  test("a pressure in another unit gets the same result", () => {
    const unit = fc.constantFrom<Unit>("kPa", "psi", "bar");
    const kpa = fc.double({ min: 0, max: 600, noNaN: true });
    fc.assert(
      fc.property(
        kpa,
        fc.option(kpa),
        unit,
        fc.constantFrom<Quantity>("front-tyre-pressure", "rear-tyre-pressure"),
        (found, left, other, quantity) => {
          const inKpa = judge(quantity, found, left ?? undefined, "kPa");
          const inOther = judge(quantity, convert(found, "kPa", other), left === null ? undefined : convert(left, "kPa", other), other);
          expect([inOther.result, inOther.category]).toEqual([inKpa.result, inKpa.category]);
          expect(inOther.reading.unit).toBe(other);
        },
      ),
      { numRuns: 1000 },
    );
  });

  test("a unit that the gauge cannot show and a value that is no number are refused", () => {
    expect(() => judge("front-tread", 3, undefined, "kPa")).toThrow(UnitError);
    expect(() => judge("odometer", 3, undefined, "mm")).toThrow(UnitError);
    expect(() => judge("front-tread", Number.NaN)).toThrow(RangeError);
    expect(() => judge("front-tread", 3, Number.POSITIVE_INFINITY)).toThrow(RangeError);
  });
});
