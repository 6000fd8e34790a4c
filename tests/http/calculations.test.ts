// The bench calculations as an outside check calls them: worked examples, refusals with a pointer, every role, nothing stored.
import fc from "fast-check";
import { beforeAll, describe, expect, test } from "vitest";
import { allRoutes } from "../../src/rooms.ts";
import type { Client } from "../support/app.ts";
import { norris, norrisCertified, remissionSteps, remissionWeeks } from "../support/published.ts";
import { expectRefused, stored } from "../support/small-fleet.ts";
import { testService } from "../support/test-service.ts";

const { app } = testService();
let mechanic: Client;
let before: string;
beforeAll(async () => {
  mechanic = await app.signIn("M001");
  before = await stored(app.context.db);
});

const send = (name: string, body: object, client = mechanic) => client.post(`/v1/calculations/${name}`).send(body);
// biome-ignore lint/suspicious/noExplicitAny: answers are read field by field in tests
async function calculate(name: string, body: object, client = mechanic): Promise<any> {
  const answer = await send(name, body, client);
  expect(answer.status, answer.text).toBe(200);
  return answer.body;
}
const near = (value: number, expected: number, tolerance: number): void =>
  expect(Math.abs(value - expected), `${value} for ${expected}`).toBeLessThanOrEqual(tolerance);

/** One good body for each. */
const good: Readonly<Record<string, Record<string, unknown>>> = {
  "chain-adjustment": { spanMm: 500, slackAsFoundMm: 50, slackWantedMm: 25, adjusterPitchMm: 1 },
  "chain-elongation": { pitchMm: 12.7, pitches: 20, lengthMm: 259.08 },
  "pressure-at-temperature": { gaugeKpa: 200, fromCelsius: 20, toCelsius: 0 },
  "brake-efficiency": { speedKmh: 48.28032, distanceM: 14 },
  "linear-trend": { points: norris, limit: 500, confidence: 0.95 },
  "proportion-interval": { count: 100, of: 200 },
  "rate-interval": { events: 15, exposure: 400 },
  survival: { times: remissionWeeks },
};

describe("worked examples", () => {
  test("the chain adjusters", async () => {
    // exact: D = (sqrt(C^2 + s1^2) - sqrt(C^2 + s2^2)) / 2, six flats a turn; M6 x 1.0 and M8 x 1.25 (ISO 261)
    const m6 = await calculate("chain-adjustment", good["chain-adjustment"] ?? {});
    near(m6.axleTravelMm, 0.9346, 1e-4);
    near(m6.flatsExact, 5.61, 0.01);
    expect(m6).toMatchObject({ flatsPerSide: 5, direction: "tighten" });
    const m8 = await calculate("chain-adjustment", { spanMm: 500, slackAsFoundMm: 40, slackWantedMm: 25, adjusterPitchMm: 1.25 });
    near(m8.flatsExact, 2.33, 0.01);
    const slacken = await calculate("chain-adjustment", { spanMm: 500, slackAsFoundMm: 15, slackWantedMm: 25, adjusterPitchMm: 1 });
    near(slacken.axleTravelMm, -0.1998, 1e-4);
    expect(slacken).toMatchObject({ flatsPerSide: 1, direction: "slacken" });
    expect(await calculate("chain-adjustment", { spanMm: 500, slackAsFoundMm: 30, slackWantedMm: 30, adjusterPitchMm: 1 })).toEqual({
      axleTravelMm: 0,
      flatsPerSide: 0,
      flatsExact: 0,
      direction: "none",
    });
  });

  test.each([
    // ISO 606 pitch, computed
    [12.7, 20, 259.08, 2, 0.005],
    // YZ250F manual p. 4-64: the limit, and the mean of inner 231.0 and outer 246.0 mm
    [15.875, 15, 242.9, 2.005, 0.001],
    [15.875, 15, (231 + 246) / 2, 0.157, 0.001],
    // KX250F owner's manual 2015 p. 91
    [15.875, 20, 323, 1.732, 0.001],
  ])("a chain of pitch %f over %i pitches", async (pitchMm, pitches, lengthMm, percent, tolerance) => {
    near((await calculate("chain-elongation", { pitchMm, pitches, lengthMm })).elongationPercent, percent, tolerance);
  });

  test.each([
    // OpenStax College Physics, The Ideal Gas Law: absolute, so no atmosphere; and a gauge, 1.62 atm
    [700, 18, 35, 0, 741, 0.5],
    [250, 35, -40, undefined, 1.62 * 101.325, 0.01 * 101.325],
    // computed with 101.325 kPa
    [200, 20, 0, undefined, 179.44, 0.01],
    [200, 20, 30, undefined, 210.28, 0.01],
  ])("%f kPa at %f C, at %f C", async (gaugeKpa, fromCelsius, toCelsius, atmosphereKpa, expected, tolerance) => {
    const answer = await calculate("pressure-at-temperature", { gaugeKpa, fromCelsius, toCelsius, atmosphereKpa });
    near(answer.gaugeKpa, expected, tolerance);
  });

  test.each([
    // Highway Code rule 126 distances, v^2/(2 g d)
    [30, 14, 65.5, 6.424],
    [40, 24, 67.9, 6.661],
  ])("a stop from %i mph in %i m", async (mph, distanceM, percent, decelerationMs2) => {
    const answer = await calculate("brake-efficiency", { speedKmh: mph * 1.609344, distanceM });
    near(answer.efficiencyPercent, percent, 0.05);
    near(answer.decelerationMs2, decelerationMs2, 0.001);
  });

  test("the line through Norris", async () => {
    // NIST StRD, certified values
    const answer = await calculate("linear-trend", { points: norris });
    expect(Object.keys(answer).sort()).toEqual(Object.keys(norrisCertified).sort());
    for (const [name, certified] of Object.entries(norrisCertified)) near(answer[name] / certified, 1, 1e-9);
    const limited = await calculate("linear-trend", { points: norris, limit: 500 });
    near(limited.limitAtX, (500 - norrisCertified.intercept) / norrisCertified.slope, 1e-8);
    expect(limited.limitInterval.low).toBeLessThan(limited.limitAtX);
    expect(limited.limitInterval.high).toBeGreaterThan(limited.limitAtX);
    const surer = await calculate("linear-trend", { points: norris, limit: 500, confidence: 0.99 });
    expect(surer.limitInterval.low).toBeLessThan(limited.limitInterval.low);
  });

  test("Wilson and Garwood", async () => {
    // R 4.3.3 DescTools, as quoted by the tests of statsmodels; the others computed
    for (const [count, of, low, high] of [
      [100, 200, 0.4313609, 0.5686391],
      [15, 148, 0.0623864, 0.1604872],
      [0, 20, 0, 0.1611252],
    ] as const) {
      const answer = await calculate("proportion-interval", { count, of });
      near(answer.low, low, 1e-6);
      near(answer.high, high, 1e-6);
    }
    expect((await calculate("proportion-interval", { count: 38, of: 38 })).high).toBe(1);
    expect((await calculate("proportion-interval", { count: 0, of: 77 })).low).toBe(0);
    const rate = await calculate("rate-interval", { events: 15, exposure: 400, confidence: 0.95 });
    near(rate.rate, 0.0375, 0);
    near(rate.low, 0.0209884653319583, 1e-9);
    near(rate.high, 0.0618505471787146, 1e-9);
    near((await calculate("rate-interval", { events: 0, exposure: 1 })).high, 3.688879, 1e-6);
  });

  test("the 6-MP patients", async () => {
    // Freireich 1963; survival as textbooks print it (from memory), Greenwood's errors computed
    const { steps } = await calculate("survival", { times: remissionWeeks });
    expect(steps).toHaveLength(remissionSteps.length);
    for (const [index, [at, atRisk, events, survival, se]] of remissionSteps.entries()) {
      expect(steps[index]).toMatchObject({ at, atRisk, events });
      near(steps[index].survival, survival, 5e-5);
      near(steps[index].se, se, 5e-5);
    }
  });
});

describe("what cannot be", () => {
  const points = (ys: readonly unknown[], x?: number) => ys.map((y, index) => [x ?? index, y]);
  test.each([
    ["chain-adjustment", { spanMm: 0 }, "/spanMm"],
    ["chain-adjustment", { slackAsFoundMm: 500 }, "/slackAsFoundMm"],
    ["chain-adjustment", { slackWantedMm: 501 }, "/slackWantedMm"],
    ["chain-adjustment", { slackWantedMm: -1 }, "/slackWantedMm"],
    ["chain-adjustment", { adjusterPitchMm: 0 }, "/adjusterPitchMm"],
    ["chain-adjustment", { adjusterPitchMm: 1e-300 }, "/adjusterPitchMm"],
    ["chain-elongation", { pitchMm: -12.7 }, "/pitchMm"],
    ["chain-elongation", { pitches: 0 }, "/pitches"],
    ["chain-elongation", { pitches: 20.5 }, "/pitches"],
    ["chain-elongation", { lengthMm: "259" }, "/lengthMm"],
    ["pressure-at-temperature", { fromCelsius: -273.15 }, "/fromCelsius"],
    ["pressure-at-temperature", { toCelsius: -300 }, "/toCelsius"],
    ["pressure-at-temperature", { gaugeKpa: -101.4 }, "/gaugeKpa"],
    ["pressure-at-temperature", { atmosphereKpa: -1 }, "/atmosphereKpa"],
    ["brake-efficiency", { speedKmh: 0 }, "/speedKmh"],
    ["brake-efficiency", { distanceM: 0 }, "/distanceM"],
    ["linear-trend", { points: points([1, 2]) }, "/points"],
    ["linear-trend", { points: points([1, 2, 3], 7) }, "/points"],
    ["linear-trend", { points: points([1, null, 3]) }, "/points/1/1"],
    ["linear-trend", { points: points(Array(10_001).fill(1)) }, "/points"],
    ["linear-trend", { points: [...norris, [1, 2, 3]] }, "/points/36"],
    ["linear-trend", { limit: 1e300 }, "/limit"],
    ["linear-trend", { confidence: 1 }, "/confidence"],
    ["proportion-interval", { count: 201 }, "/count"],
    ["proportion-interval", { of: 0 }, "/of"],
    ["proportion-interval", { confidence: 0 }, "/confidence"],
    ["rate-interval", { events: -1 }, "/events"],
    ["rate-interval", { events: 1.5 }, "/events"],
    ["rate-interval", { exposure: 0 }, "/exposure"],
    ["rate-interval", { confidence: 95 }, "/confidence"],
    ["survival", { times: [] }, "/times"],
    ["survival", { times: [{ at: -1, event: true }] }, "/times/0/at"],
    ["survival", { times: [{ at: 1, event: "yes" }] }, "/times/0/event"],
  ])("%s with %o is refused at its field", async (name, wrong, pointer) => {
    await expectRefused(app, () => send(name, { ...good[name], ...wrong }), 422, "not-valid", [pointer]);
  });

  test("a field too many or too few is refused", async () => {
    for (const [name, body] of Object.entries(good)) {
      expect((await send(name, { ...body, remark: "x" })).status, name).toBe(422);
      const [first = ""] = Object.keys(body);
      expect((await send(name, { ...body, [first]: undefined })).body.issues?.[0]?.pointer, name).toBe(`/${first}`);
    }
  });
});

test("ten thousand points with all their digits are taken", async () => {
  const points = Array.from({ length: 10_000 }, (_, index) => [index * 12_345.678_901_23 + 1 / 3, 8 - index / 3_000.1 + (index % 7) / 7]);
  near((await calculate("linear-trend", { points, limit: 1 })).slope * 12_345.678_901_23, -1 / 3_000.1, 1e-6);
  const times = points.map(([at], index) => ({ at, event: index % 3 === 0 }));
  expect((await calculate("survival", { times })).steps).toHaveLength(3_334);
});

test("whatever the contract lets in is answered in numbers", async () => {
  const value = fc.oneof(fc.double({ min: -1e12, max: 1e12, noNaN: true }), fc.constantFrom(0, 5e-324, 1e-200, 1e12, -1e12, 1));
  const bodies = fc.record({
    points: fc.array(fc.tuple(value, value), { minLength: 3, maxLength: 6 }),
    limit: value,
    confidence: fc.constantFrom(0.001, 0.5, 0.999999),
  });
  const finite = (answer: unknown): boolean =>
    typeof answer === "object" && answer !== null ? Object.values(answer).every(finite) : Number.isFinite(answer);
  await fc.assert(
    fc.asyncProperty(bodies, async (body) => {
      const answer = await send("linear-trend", body);
      expect([200, 422], answer.text).toContain(answer.status);
      const { limitInterval, ...rest } = answer.body;
      const ends = Object.values(limitInterval ?? {}).filter((end) => end !== null);
      if (answer.status === 200) expect(finite([rest, ends]), answer.text).toBe(true);
    }),
    { numRuns: 150 },
  );
  for (const [events, exposure] of [
    [1_000_000, 1e-9],
    [0, 1e12],
    [1, 1e12],
  ]) {
    for (const confidence of [0.001, 0.999999]) {
      const answer = await calculate("rate-interval", { events, exposure, confidence });
      expect(finite(answer) && answer.low <= answer.rate && answer.rate <= answer.high, JSON.stringify(answer)).toBe(true);
    }
  }
});

describe("who may", () => {
  test.each(["R001", "M001", "F001", "A001"])("%s may, and nobody without signing in", async (staffNumber) => {
    const client = await app.signIn(staffNumber);
    for (const [name, body] of Object.entries(good)) {
      await calculate(name, body, client);
      expect((await send(name, body, app.anyone)).status).toBe(401);
    }
    const names = allRoutes.filter(({ path }) => path.startsWith("/v1/calculations/")).map(({ path }) => path.split("/").at(-1));
    expect(names.map(String).sort()).toEqual(Object.keys(good).sort());
  });
});

test("nothing of all this was stored", async () => {
  expect(await stored(app.context.db)).toBe(before);
});
