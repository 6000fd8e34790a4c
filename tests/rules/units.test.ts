import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { quantitySchema, unitSchema } from "../../shared/contracts/quantities.ts";
import { convert, formatQuantity, looksLikeOtherUnit, plausibleWindow, possibleWindow, UnitError, unitsFor } from "../../shared/units.ts";

describe("conversion", () => {
  // NIST SP 811, appendix B: 1 psi = 6.894757 kPa, 1 bar = 100 kPa
  test.each([
    [200, "kPa", 29.0075, "psi"],
    [200, "kPa", 2, "bar"],
    [25, "psi", 172.3689, "kPa"],
    [29, "psi", 199.948, "kPa"],
    [33, "psi", 227.527, "kPa"],
    [1, "psi", 6.894757, "kPa"],
    [2.5, "bar", 250, "kPa"],
    [1.2, "km", 1_200_000, "mm"],
  ] as const)("%f %s is %f %s", (value, from, expected, to) => {
    expect(Math.abs(convert(value, from, to) - expected)).toBeLessThan(5e-4);
  });

  test("there and back gives the same value", () => {
    const pressure = fc.constantFrom("kPa", "psi", "bar");
    fc.assert(
      fc.property(fc.double({ min: 0.001, max: 1000, noNaN: true }), pressure, pressure, (value, from, to) => {
        expect(Math.abs(convert(convert(value, from, to), to, from) - value)).toBeLessThanOrEqual(1e-12 * value);
      }),
    );
  });

  test("unlike units are refused by a typed error", () => {
    expect(() => convert(1, "kPa", "mm")).toThrow(UnitError);
    expect(() => convert(1, "percent", "psi")).toThrow(UnitError);
    expect(() => plausibleWindow("front-tread", "kPa")).toThrow(UnitError);
    expect(new UnitError("x").code).toBe("unlike-units");
  });
});

describe("reading", () => {
  test("a value is printed with its unit and without false digits", () => {
    expect(formatQuantity(175, "kPa")).toBe("175\u00a0kPa");
    expect(formatQuantity(131.25, "kPa")).toBe("131.3\u00a0kPa");
    expect(formatQuantity(0.65, "mm")).toBe("0.65\u00a0mm");
    expect(formatQuantity(2.05, "bar")).toBe("2.05\u00a0bar");
    expect(formatQuantity(12_345, "km")).toBe("12,345\u00a0km");
    expect(formatQuantity(1.73, "percent")).toBe("1.7\u00a0%");
    expect(formatQuantity(-0.0001, "mm")).toBe("0\u00a0mm");
    expect(formatQuantity(1.5, "mm", "de-DE")).toBe("1,5\u00a0mm");
  });

  test("every quantity has units, and a plausible window inside the possible one in each of them", () => {
    for (const quantity of quantitySchema.options) {
      for (const unit of unitSchema.options) {
        if (!unitsFor(quantity).includes(unit)) continue;
        const plausible = plausibleWindow(quantity, unit);
        const possible = possibleWindow(quantity, unit);
        expect(possible.min <= plausible.min && plausible.min < plausible.max && plausible.max <= possible.max, quantity).toBe(true);
      }
    }
  });

  test("a window in a converted unit is rounded outward to what a gauge shows", () => {
    expect(plausibleWindow("front-tyre-pressure", "psi")).toEqual({ min: 14.5, max: 50.8 });
    expect(plausibleWindow("front-tyre-pressure", "bar")).toEqual({ min: 1, max: 3.5 });
    expect(possibleWindow("front-tyre-pressure", "psi")).toEqual({ min: 0, max: 87.1 });
  });

  test("a flat tyre can be reported", () => {
    expect(possibleWindow("front-tyre-pressure", "psi").min).toBe(0);
  });

  test("a pressure in the wrong unit is noticed, a true one is left alone", () => {
    expect(looksLikeOtherUnit("front-tyre-pressure", 28, "kPa")).toBe("psi");
    expect(looksLikeOtherUnit("front-tyre-pressure", 2, "kPa")).toBe("bar");
    expect(looksLikeOtherUnit("rear-tyre-pressure", 200, "psi")).toBe("kPa");
    expect(looksLikeOtherUnit("rear-tyre-pressure", 2.2, "psi")).toBe("bar");
    expect(looksLikeOtherUnit("rear-tyre-pressure", 29, "psi")).toBeNull();
    expect(looksLikeOtherUnit("rear-tyre-pressure", 0, "psi")).toBeNull();
    expect(looksLikeOtherUnit("front-tread", 40, "mm")).toBeNull();
  });
});
