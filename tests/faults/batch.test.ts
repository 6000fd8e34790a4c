import { expect, test } from "vitest";
import { batch } from "../../src/platform/database/batch.ts";

const settled = () => new Promise((done) => setImmediate(done));

test("a call alone goes at once; what arrives while it is on its way goes together as the next", async () => {
  const batches: number[][] = [];
  let release: () => void = () => undefined;
  const double = batch<number, number>(
    async (inputs) => {
      batches.push([...inputs]);
      await new Promise<void>((done) => {
        release = done;
      });
      return inputs.map((input) => input * 2);
    },
    { width: 1, most: 10, mostWaiting: 10 },
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
  const same = batch<number, number>(
    async (inputs) => {
      sizes.push(inputs.length);
      await settled();
      return inputs;
    },
    { width: 2, most: 4, mostWaiting: 50 },
  );
  const inputs = Array.from({ length: 50 }, (_, index) => index);
  expect(await Promise.all(inputs.map(same))).toEqual(inputs);
  expect(Math.max(...sizes)).toBe(4);
});

const pickAllBut3 = (triedAlone?: (error: unknown) => boolean) => {
  let statements = 0;
  const pick = batch<number, string>(
    async (inputs) => {
      statements += 1;
      await settled();
      if (inputs.includes(3)) throw new Error("three");
      return inputs.map(String);
    },
    { width: 1, most: 10, mostWaiting: 10, ...(triedAlone ? { triedAlone } : {}) },
  );
  return { pick, statements: () => statements };
};
const said = (results: readonly PromiseSettledResult<string>[]) =>
  results.map((result) => (result.status === "fulfilled" ? result.value : String(result.reason.message)));

test("one bad input fails alone where its failure left nothing behind: the others of its batch are answered", async () => {
  const { pick } = pickAllBut3(() => true);
  expect(said(await Promise.allSettled([1, 2, 3, 4].map(pick)))).toEqual(["1", "2", "three", "4"]);
});

test("a batch of which nobody knows what it did is not run again: all of it fail with what was said", async () => {
  const { pick, statements } = pickAllBut3();
  expect(said(await Promise.allSettled([1, 2, 3, 4].map(pick)))).toEqual(["1", "three", "three", "three"]);
  expect(statements()).toBe(2);
});

test("no more wait than there may: whoever comes after them is told to come again, and once there is room is taken", async () => {
  const same = batch<number, number>(
    async (inputs) => {
      await settled();
      return inputs;
    },
    { width: 1, most: 1, mostWaiting: 2 },
  );
  const results = await Promise.allSettled([1, 2, 3, 4, 5].map(same));
  expect(results.map((result) => (result.status === "fulfilled" ? result.value : result.reason.code))).toEqual([
    ...[1, 2, 3],
    ...["not-ready", "not-ready"],
  ]);
  const [refused] = results.filter((result) => result.status === "rejected");
  expect(refused?.reason.extra.headers).toHaveProperty("retry-after");
  expect(await same(6)).toBe(6);
});
