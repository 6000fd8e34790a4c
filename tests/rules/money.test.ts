// Money in whole minor units: read, computed and written exactly.
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { decimalsOf, inUnits, isCurrency, mostMinor, readAmount } from "../../shared/rules/money.ts";
import { partKey, priceOn } from "../../shared/rules/part-prices.ts";
import { sayMoney } from "../../shared/words/say-money.ts";

const minor = fc.integer({ min: 0, max: mostMinor });

describe("an amount that somebody wrote", () => {
  test("a point and a comma are alike, and missing decimals are noughts", () => {
    expect(readAmount("12.50", 2)).toEqual({ minor: 1250 });
    expect(readAmount(" 12,5 ", 2)).toEqual({ minor: 1250 });
    expect(readAmount("0", 2)).toEqual({ minor: 0 });
    expect(readAmount("1250", 0)).toEqual({ minor: 1250 });
    expect(readAmount("1,234", 3)).toEqual({ minor: 1234 });
  });

  test.each([
    ["-1", 2, "negative"],
    ["\u22121,00", 2, "negative"],
    ["1.200", 2, "decimals"],
    ["12.5", 0, "decimals"],
    ["1.200,00", 2, "not-a-number"],
    ["1 200", 2, "not-a-number"],
    ["12,50 €", 2, "not-a-number"],
    ["=1+1", 2, "not-a-number"],
    ["1e3", 2, "not-a-number"],
    ["", 2, "not-a-number"],
    ["٣", 2, "not-a-number"],
    ["100000000.01", 2, "too-large"],
    ["9999999999999", 2, "not-a-number"],
  ])("%j with %i decimals is refused: %s", (text, decimals, wrong) => {
    expect(readAmount(text, decimals)).toEqual({ wrong });
  });

  test("what is written in units is read back as it was", () => {
    fc.assert(
      fc.property(minor, fc.constantFrom(0, 2, 3), (amount, decimals) => {
        expect(readAmount(inUnits(amount, decimals), decimals)).toEqual({ minor: amount });
      }),
    );
    expect(inUnits(-5, 2)).toBe("-0.05");
  });
});

test("a currency has the decimals of ISO 4217, and what is none is known to be none", () => {
  expect(["EUR", "GBP", "JPY", "KWD"].map(decimalsOf)).toEqual([2, 2, 0, 3]);
  expect(isCurrency("EUR")).toBe(true);
  expect(isCurrency("ZZZ")).toBe(false);
});

test("an amount is written as the language writes it, exactly to the last cent", () => {
  expect(sayMoney(123_456, "EUR", "de")).toBe("1.234,56\u00a0€");
  expect(sayMoney(123_456, "EUR", "en")).toBe("€1,234.56");
  expect(sayMoney(1234, "JPY", "en")).toBe("JP¥1,234");
  expect(sayMoney(900_719_925_474_099, "EUR", "en")).toBe("€9,007,199,254,740.99");
});

describe("parts", () => {
  test("a number is compared without spaces, invisible characters and case, full-width or not; hyphens tell parts apart", () => {
    expect(partKey(" ab 12\u00a0c\u200b ")).toBe("AB12C");
    expect(partKey("ＡＢ１２")).toBe("AB12");
    expect(partKey("12-1")).not.toBe(partKey("1-21"));
    expect(partKey(" \u200b ")).toBe("");
  });

  const from = (fromDay: string, priceMinor: number) => ({ fromDay, priceMinor });
  test("the price of a day is the last that had begun; before the first, the first, said to be later", () => {
    const prices = [from("2026-09-01", 1300), from("2026-03-01", 1200)];
    expect(priceOn(prices, "2026-08-31")).toEqual({ price: from("2026-03-01", 1200), isLater: false });
    expect(priceOn(prices, "2026-09-01")).toEqual({ price: from("2026-09-01", 1300), isLater: false });
    expect(priceOn(prices, "2026-02-28")).toEqual({ price: from("2026-03-01", 1200), isLater: true });
    expect(priceOn([], "2026-02-28")).toBeNull();
  });
});
