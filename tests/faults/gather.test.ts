import { expect, test } from "vitest";
import { gather } from "../../src/platform/gather.ts";

const settled = () => new Promise((done) => setImmediate(done));

test("a call alone goes at once; what arrives while it is on its way goes together as the next", async () => {
  const batches: number[][] = [];
  let release: () => void = () => undefined;
  const double = gather<number, number>(
    async (inputs) => {
      batches.push([...inputs]);
      await new Promise<void>((done) => {
        release = done;
      });
      return inputs.map((input) => input * 2);
    },
    { width: 1, most: 10 },
  );
  const answers = [1, 2, 3].map(double);
  await settled();
  expect(batches).toEqual([[1]]);
  release();
  await settled();
  expect(batches).toEqual([[1], [2, 3]]);
  release();
  expect(await Promise.all(answers)).toEqual([2, 4, 6]);
});

test("a batch is never larger than its limit, and no input is lost or answered with another's output", async () => {
  const sizes: number[] = [];
  const same = gather<number, number>(
    async (inputs) => {
      sizes.push(inputs.length);
      await settled();
      return inputs;
    },
    { width: 2, most: 4 },
  );
  const inputs = Array.from({ length: 50 }, (_, index) => index);
  expect(await Promise.all(inputs.map(same))).toEqual(inputs);
  expect(Math.max(...sizes)).toBe(4);
});

test("one bad input fails alone: the others of its batch are answered", async () => {
  const pick = gather<number, string>(
    async (inputs) => {
      await settled();
      if (inputs.includes(3)) throw new Error("three");
      return inputs.map(String);
    },
    { width: 1, most: 10 },
  );
  const results = await Promise.allSettled([1, 2, 3, 4].map(pick));
  expect(results.map((result) => (result.status === "fulfilled" ? result.value : "failed"))).toEqual(["1", "2", "failed", "4"]);
});
