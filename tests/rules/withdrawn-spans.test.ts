// When a machine was withdrawn, as its chain tells it: what forecasts leave out of its days, and a month out of the days to be checked.
import { expect, test } from "vitest";
import { withdrawnSpans } from "../../shared/rules/withdrawn-spans.ts";

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
