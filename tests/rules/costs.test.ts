// What work costs, worked by hand and against exact arithmetic; what is not known is counted and never taken for nothing.
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  type Costs,
  costsOf,
  isAtLeast,
  labourOf,
  type PriceBook,
  perThousandKm,
  priceOfParts,
  together,
  unknownKinds,
  type Work,
} from "../../shared/rules/costs.ts";
import { mostMinor } from "../../shared/rules/money.ts";
import { kmRidden } from "../../src/costs/ridden.ts";

/** `numerator / denominator` rounded half away from zero, by long division in whole numbers: another way than the rule's own. */
function rounded(numerator: bigint, denominator: bigint): bigint {
  const whole = numerator / denominator;
  return (numerator % denominator) * 2n >= denominator ? whole + 1n : whole;
}
const minor = fc.integer({ min: 0, max: mostMinor });

describe("worked by hand", () => {
  test("0.25 l of oil at 7.90 is 1.975, so 1.98; three plugs at 4.35 are 13.05; 1.005 at 1.00 is 1.01 though its binary fraction is less", () => {
    expect(priceOfParts(0.25, 790)).toBe(198);
    expect(priceOfParts(3, 435)).toBe(1305);
    expect(priceOfParts(1.005, 100)).toBe(101);
  });

  test("25 minutes at 54.00 an hour are 22.50; one minute at 0.29 is 0.00483, so nothing; at 0.30 it is half a cent, so one", () => {
    expect(labourOf(25, 5400)).toBe(2250);
    expect(labourOf(1, 29)).toBe(0);
    expect(labourOf(1, 30)).toBe(1);
  });

  test("132.45 on 2,310 km are 57.34 for each 1,000 km; of less than 100 km, or an unknown distance, nothing is said", () => {
    expect(perThousandKm(13_245, 2310)).toBe(5734);
    expect(perThousandKm(13_245, 99.4)).toBeNull();
    expect(perThousandKm(13_245, null)).toBeNull();
  });
});

test("a line is what exact arithmetic gives, rounded once, half away from zero", () => {
  const quantity = fc.tuple(fc.integer({ min: 1, max: 999_999 }), fc.constantFrom(0, 1, 2, 3));
  fc.assert(
    fc.property(quantity, minor, ([digits, decimals], price) => {
      const said = Number(`${digits}e-${decimals}`);
      expect(BigInt(priceOfParts(said, price))).toBe(rounded(BigInt(digits) * BigInt(price), 10n ** BigInt(decimals)));
    }),
  );
  fc.assert(
    fc.property(fc.integer({ min: 0, max: 10_000 }), minor, (minutes, rate) => {
      expect(BigInt(labourOf(minutes, rate))).toBe(rounded(BigInt(minutes) * BigInt(rate), 60n));
    }),
  );
  fc.assert(
    fc.property(minor, fc.integer({ min: 100, max: 2_000_000 }), (amount, km) => {
      expect(perThousandKm(amount, km)).toBe(Number(rounded(BigInt(amount) * 1000n, BigInt(km))));
    }),
  );
});

const about = { machineId: "m", at: new Date("2026-07-13T08:00:00Z"), day: "2026-07-13", inWords: 0 };
const repair = (told: Partial<NonNullable<Extract<Work, { kind: "repair" }>["told"]>>, changes: object = {}): Work => ({
  ...about,
  ...changes,
  id: "r",
  kind: "repair",
  told: { minutes: 0, parts: [], outsideId: null, ...told },
});
const stay = (cost: { minor: number; currency: string } | null, parts: readonly { number: string; quantity: number }[] = []): Work => ({
  ...about,
  id: "stay",
  kind: "stay",
  told: { cost, parts },
});
const book: PriceBook = {
  currency: "EUR",
  pricesOf: (key) =>
    ({
      CABLE: [
        { fromDay: "2026-06-01", priceMinor: 1250, currency: "EUR" },
        { fromDay: "2026-07-14", priceMinor: 1310, currency: "EUR" },
      ],
      PAD: [{ fromDay: "2026-08-01", priceMinor: 899, currency: "EUR" }],
      YEN: [{ fromDay: "2026-01-01", priceMinor: 500, currency: "JPY" }],
    })[key] ?? [],
  rateAt: (at) => ({ hourlyRateMinor: 5400, isLater: at.getTime() < Date.parse("2026-07-01T00:00:00Z") }),
};
const none = Object.fromEntries(unknownKinds.map((why) => [why, 0]));

describe("what work costs", () => {
  test("by hand: two cables of 12.50 and 25 minutes at 54.00 are 47.50; an invoice of 412.50 makes 460.00", () => {
    const work = [repair({ minutes: 25, parts: [{ number: "ca ble", quantity: 2 }] }), stay({ minor: 41_250, currency: "EUR" })];
    expect(costsOf(work, book)).toEqual({
      ...{ partsMinor: 2500, labourMinor: 2250, outsideMinor: 41_250, totalMinor: 46_000 },
      ...{ repairs: 1, stays: 1, pricedLater: 0, unknown: none },
    });
  });

  test("a repair is priced by its own day; one before the first known price, or before there was a rate, by the first, and that is said", () => {
    const later = repair({ parts: [{ number: "CABLE", quantity: 1 }] }, { day: "2026-07-14" });
    expect(costsOf([later], book)).toMatchObject({ partsMinor: 1310, pricedLater: 0 });
    const early = repair({ minutes: 60, parts: [{ number: "PAD", quantity: 1 }] }, { at: new Date("2026-06-30T08:00:00Z") });
    expect(costsOf([early], book)).toMatchObject({ partsMinor: 899, labourMinor: 5400, pricedLater: 2 });
  });

  test("an invoice stands for its whole stay: neither its parts nor those of what was repaired there are counted again", () => {
    const there = repair({ minutes: null, parts: [{ number: "CABLE", quantity: 1 }], outsideId: "stay" });
    const parts = [{ number: "CABLE", quantity: 1 }];
    expect(costsOf([there, stay({ minor: 9900, currency: "EUR" }, parts)], book)).toMatchObject({ totalMinor: 9900, unknown: none });
    const without = costsOf([there, stay(null, parts)], book);
    expect(without).toMatchObject({ totalMinor: 2500, partsMinor: 2500, unknown: { ...none, staysWithoutInvoice: 1 } });
  });

  test("what is not known is counted by why, and the sum is 'at least'", () => {
    const work: Work[] = [
      repair({ minutes: null }),
      repair({ parts: [{ number: null, quantity: 1 }] }),
      repair({ parts: [{ number: "NOBODY'S", quantity: 1 }] }),
      repair({ parts: [{ number: "CABLE", quantity: null }] }),
      repair({ parts: [{ number: "YEN", quantity: 1 }] }),
      repair({}, { inWords: 2 }),
      { ...about, id: "f", kind: "repair", told: null },
      stay({ minor: 1, currency: "JPY" }),
    ];
    const costs = costsOf(work, book, 3);
    expect(costs.unknown).toEqual({
      ...{ forgotten: 1, withoutMinutes: 1, withoutRate: 0, partsWithoutNumber: 1, partsWithoutPrice: 1, partsWithoutQuantity: 1 },
      ...{ staysWithoutInvoice: 0, otherCurrency: 2, renewedUnnamed: 3, correctedInWords: 2 },
    });
    expect(costs.totalMinor).toBe(0);
    expect(isAtLeast(costs)).toBe(true);
    expect(isAtLeast(costsOf([repair({})], book))).toBe(false);
    expect(costsOf([repair({ minutes: 5 })], { ...book, rateAt: () => null }).unknown.withoutRate).toBe(1);
  });
});

test("the lines make the total, in whatever order and however they are put together", () => {
  const part = fc.record({ number: fc.constantFrom(null, "CABLE", "PAD", "YEN", "NONE"), quantity: fc.constantFrom(0.25, 1, 1.005, 3) });
  const work = fc.array(
    fc.oneof(
      fc.record({ minutes: fc.option(fc.nat(600)), parts: fc.array(part, { maxLength: 3 }) }).map((told) => repair(told)),
      fc.option(fc.nat(100_000)).map((cost) => stay(cost === null ? null : { minor: cost, currency: "EUR" })),
    ),
    { maxLength: 12 },
  );
  fc.assert(
    fc.property(work, fc.nat(12), (all, at) => {
      const costs = costsOf(all, book);
      expect(costs.totalMinor).toBe(costs.partsMinor + costs.labourMinor + costs.outsideMinor);
      expect(costsOf(all.toReversed(), book)).toEqual(costs);
      const halves: Costs[] = [costsOf(all.slice(0, at), book), costsOf(all.slice(at), book)];
      expect(together(halves)).toEqual(costs);
      expect(together(halves.toReversed())).toEqual(costs);
    }),
  );
});

describe("how far a machine was ridden", () => {
  const day = (n: number): number => Date.parse("2026-07-01T00:00:00.000Z") + n * 86_400_000;
  const read = (n: number, odometerKm: number) => ({ at: new Date(day(n)).toISOString(), odometerKm });

  test("between two readings it is linear, so a period has its share; fewer than two readings in it, and nobody knows", () => {
    const readings = [read(0, 1000), read(10, 1500), read(20, 2000)];
    expect(kmRidden(readings, [], [{ starts: day(5), ends: day(21) }])).toBe(750);
    expect(kmRidden(readings, [], [{ starts: day(5), ends: day(15) }])).toBeNull();
    expect(kmRidden([], [], [{ starts: day(0), ends: day(30) }])).toBeNull();
  });

  test("an odometer that was set by hand takes no distance away, and a machine that was elsewhere in between has only what it rode here", () => {
    const entries = [{ machineId: "m", kind: "machine-amended" as const, at: new Date(day(10)), odometerKm: null, fromKm: 1500, toKm: 0 }];
    const readings = [read(0, 1000), read(9, 1400), read(20, 600)];
    expect(kmRidden(readings, entries, [{ starts: day(0), ends: day(21) }])).toBe(1100);
    expect(
      kmRidden(readings, entries, [
        { starts: day(0), ends: day(10) },
        { starts: day(15), ends: day(21) },
      ]),
    ).toBe(800);
  });
});
