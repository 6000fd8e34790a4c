// What lies on a shelf: the last count, what came since, less what was fitted since.
import fc from "fast-check";
import { expect, test } from "vitest";
import { stockOf } from "../../shared/rules/stock.ts";

const on = (day: number): string => `2026-07-${String(day).padStart(2, "0")}T08:00:00.000Z`;
const counted = (day: number, quantity: number, recordedOn = day) =>
  ({ how: "counted", quantity, at: on(day), recordedAt: on(recordedOn) }) as const;
const received = (day: number, quantity: number) => ({ how: "received", quantity, at: on(day), recordedAt: on(day) }) as const;

test("a part that nobody counted has no figure, whatever came and was fitted", () => {
  expect(stockOf("d", [], [{ quantity: 1, at: on(2) }])).toBeNull();
  expect(stockOf("d", [received(1, 5)], [])).toBeNull();
});

test("by hand: 10 counted on the 5th, 4 came on the 6th, 3 were fitted since and 2 before it: 11", () => {
  const fitted = [4, 4, 6, 7, 8].map((day) => ({ quantity: 1, at: on(day) }));
  expect(stockOf("d", [counted(1, 99), counted(5, 10), received(4, 50), received(6, 4)], fitted)).toEqual({
    depotId: "d",
    counted: { quantity: 10, at: on(5) },
    ...{ received: 4, fitted: 3, onHand: 11 },
  });
});

test("more fitted than there was is less than nothing, and of two counts of one moment the one recorded last holds", () => {
  expect(stockOf("d", [counted(1, 1)], [{ quantity: 3, at: on(2) }])?.onHand).toBe(-2);
  expect(stockOf("d", [counted(1, 7, 3), counted(1, 5, 2)], [])?.onHand).toBe(7);
});

test("the order in which records and repairs arrive does not matter, and decimals leave no dust", () => {
  expect(stockOf("d", [counted(1, 0.3), received(2, 0.1)], [{ quantity: 0.2, at: on(3) }])?.onHand).toBe(0.2);
  const record = fc.oneof(
    fc.tuple(fc.integer({ min: 1, max: 28 }), fc.integer({ min: 0, max: 50 })).map(([day, many]) => counted(day, many)),
    fc.tuple(fc.integer({ min: 1, max: 28 }), fc.integer({ min: 1, max: 50 })).map(([day, many]) => received(day, many)),
  );
  const distinct = fc.uniqueArray(record, { selector: ({ at }) => at });
  fc.assert(
    fc.property(
      distinct.chain((all) => fc.tuple(fc.constant(all), fc.shuffledSubarray(all, { minLength: all.length }))),
      ([all, mixed]) => {
        expect(stockOf("d", mixed, [])).toEqual(stockOf("d", all, []));
      },
    ),
  );
});
