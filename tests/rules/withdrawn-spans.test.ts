// When a machine was withdrawn, as its chain tells it: what forecasts leave out of its days, and a month out of the days to be checked.
import { expect, test } from "vitest";
import { disposedSpans, withdrawnSpans } from "../../shared/rules/withdrawn-spans.ts";

const chain = (...kinds: readonly string[]) => kinds.map((kind, at) => ({ kind, at }));

test("each withdrawal lasts to the return after it, the last without one until now", () => {
  expect(withdrawnSpans(chain("machine-added"))).toEqual([]);
  expect(
    withdrawnSpans(chain("machine-added", "machine-withdrawn", "machine-amended", "machine-returned", "daily-check", "machine-withdrawn")),
  ).toEqual([
    { from: 1, to: 3 },
    { from: 5, to: null },
  ]);
});

test("the same holds of being out of the fleet, and neither is taken for the other", () => {
  const kinds = chain("machine-added", "machine-disposed", "machine-reinstated", "machine-withdrawn", "machine-disposed");
  expect(disposedSpans(kinds)).toEqual([
    { from: 1, to: 2 },
    { from: 4, to: null },
  ]);
  expect(withdrawnSpans(kinds)).toEqual([{ from: 3, to: null }]);
});
