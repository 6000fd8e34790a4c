import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { chainAdjustment, elongationPercent, judgeChainSlack, judgeChainWear, renewAtOncePercent } from "../../shared/rules/chain.ts";

describe("elongation", () => {
  test("20 pitches of 12.7 mm at 259.08 mm are 2.00 % longer", () => {
    // ISO 606 pitch; computed, tolerance 0.005
    expect(Math.abs(elongationPercent({ pitchMm: 12.7, pitches: 20, lengthMm: 259.08 }) - 2)).toBeLessThan(0.005);
  });

  test("15 pitches of 15.875 mm at the printed limit of 242.9 mm are 2.005 % longer", () => {
    // YZ250F manual p. 4-64; tolerance 0.001
    expect(Math.abs(elongationPercent({ pitchMm: 15.875, pitches: 15, lengthMm: 242.9 }) - 2.005)).toBeLessThan(0.001);
    // the same manual's method: the mean of inner 231.0 and outer 246.0 mm
    expect(Math.abs(elongationPercent({ pitchMm: 15.875, pitches: 15, lengthMm: (231 + 246) / 2 }) - 0.157)).toBeLessThan(0.001);
  });

  test("20 pitches of 15.875 mm at the printed limit of 323 mm are 1.732 % longer", () => {
    // KX250F owner's manual 2015 p. 91; tolerance 0.001
    expect(Math.abs(elongationPercent({ pitchMm: 15.875, pitches: 20, lengthMm: 323 }) - 1.732)).toBeLessThan(0.001);
  });

  test("what no chain can be is refused", () => {
    expect(() => elongationPercent({ pitchMm: 0, pitches: 20, lengthMm: 259 })).toThrow(RangeError);
    expect(() => elongationPercent({ pitchMm: 12.7, pitches: 20, lengthMm: Number.NaN })).toThrow(RangeError);
  });
});

describe("wear", () => {
  const chain = { pitchMm: 12.7, pitches: 20 };
  const atPercent = (percent: number): number => 254 * (1 + percent / 100);

  test("a silent handbook means 2 %: 2.00 % is kept, 2.01 % renewed soon, 3 % at once", () => {
    // EC 2008 owner's manual p. 28: more than 2 % longer than new; chain maker's note citing ANSI B29.1: 3 %
    expect(judgeChainWear(atPercent(2), chain)).toMatchObject({ outcome: "within", limit: { most: 2, source: "chain-common-limit" } });
    expect(judgeChainWear(atPercent(2.01), chain)).toMatchObject({ outcome: "renew-soon", category: "minor", offBy: 0.01 });
    expect(judgeChainWear(atPercent(2.99), chain)).toMatchObject({ outcome: "renew-soon", category: "minor" });
    expect(judgeChainWear(atPercent(3), chain)).toMatchObject({
      outcome: "fails",
      category: "major",
      limit: { most: 3, source: "chain-makers-note" },
    });
  });

  test("a handbook's own limit is the one that decides", () => {
    const strict = { ...chain, limitPercent: 1.7 };
    expect(judgeChainWear(atPercent(1.7), strict).outcome).toBe("within");
    expect(judgeChainWear(atPercent(1.8), strict)).toMatchObject({ outcome: "renew-soon", limit: { kind: "handbook", most: 1.7 } });
  });

  test("on a sprocket of 80 teeth the limit at once is 2.5 %", () => {
    // chain maker's note citing ANSI B29.1 and B29.3: 200/N % above 66 teeth
    expect(renewAtOncePercent(80)).toBe(2.5);
    expect(renewAtOncePercent(66)).toBe(3);
    expect(renewAtOncePercent(undefined)).toBe(3);
    expect(judgeChainWear(atPercent(2.5), { ...chain, rearSprocketTeeth: 80 })).toMatchObject({ outcome: "fails", category: "major" });
    expect(judgeChainWear(atPercent(1.9), { ...chain, rearSprocketTeeth: 110 }).outcome).toBe("fails");
  });

  test("a length over one pitch too few proves nothing: measure again", () => {
    // 20 pins span 19 pitches
    expect(judgeChainWear(19 * 12.7 * 1.02, chain)).toMatchObject({ outcome: "not-set", measureAgain: true });
    expect(judgeChainWear(0, chain)).toMatchObject({ outcome: "not-set", measureAgain: true });
    expect(judgeChainWear(254, chain).outcome).toBe("within");
    expect(judgeChainWear(254, undefined)).toEqual(expect.not.objectContaining({ measureAgain: true }));
  });
});

describe("slack", () => {
  const lower = { run: "lower", wheel: "free" } as const;

  test("a silent handbook means about half an inch up and down", () => {
    // common practice, no source: about 12.7 mm of total travel; the band of 5 mm either way is ours
    expect(judgeChainSlack(12.7, undefined)).toMatchObject({
      outcome: "within",
      limit: { kind: "common-practice", least: 7.7, most: 17.7 },
    });
    expect(judgeChainSlack(7.6, undefined)).toMatchObject({ outcome: "adjust", category: "minor" });
    expect(judgeChainSlack(60, undefined)).toMatchObject({ outcome: "adjust", category: "minor" });
    expect(judgeChainSlack(61, undefined)).toMatchObject({ outcome: "adjust", category: "major", categoryBy: { source: "policy" } });
  });

  test("outside the handbook's range: adjust, and more than twice its most or 60 mm is major", () => {
    // a service manual's page, 25-35 mm; 60 mm or more may damage the frame. Twice the most is policy
    const range = { minMm: 25, maxMm: 35, method: "total-travel", ...lower } as const;
    expect([25, 35].map((mm) => judgeChainSlack(mm, range).outcome)).toEqual(["within", "within"]);
    expect(judgeChainSlack(24, range)).toMatchObject({ outcome: "adjust", category: "minor", offBy: -1 });
    expect(judgeChainSlack(60, range).category).toBe("minor");
    expect(judgeChainSlack(60.5, range).category).toBe("major");
    const small = { ...range, minMm: 10, maxMm: 20 };
    expect(judgeChainSlack(40, small).category).toBe("minor");
    expect(judgeChainSlack(40.5, small).category).toBe("major");
  });

  test("the method decides what a value means", () => {
    const oneWay = { minMm: 15, maxMm: 20, method: "one-way", ...lower } as const;
    expect(judgeChainSlack(30, oneWay).category).toBe("minor");
    expect(judgeChainSlack(31, oneWay).category).toBe("major");
    const gap = { minMm: 11, maxMm: 16, method: "gap-to-swinging-arm", ...lower } as const;
    expect(judgeChainSlack(40, gap).category).toBe("minor");
    expect(judgeChainSlack(0, gap)).toMatchObject({ outcome: "adjust", category: "major" });
    const lifted = { ...gap, run: "upper" } as const;
    expect(judgeChainSlack(0, lifted).category).toBe("minor");
    expect(judgeChainSlack(33, lifted).category).toBe("major");
  });
});

describe("adjusters", () => {
  // computed from e = sqrt(C^2 + s^2) - C, D = (e1 - e2)/2; M6 x 1.0 and M8 x 1.25 (ISO 261); tolerance 1e-4 and 0.01
  test.each([
    [500, 50, 25, 0.9346, 5.61, 4.49, 5, "tighten"],
    [500, 40, 25, 0.4864, 2.92, 2.33, 2, "tighten"],
    [500, 30, 30, 0, 0, 0, 0, "none"],
    [500, 15, 25, -0.1998, -1.2, -0.96, 1, "slacken"],
  ])("span %d mm, slack %d to %d mm: the axle moves %f mm", (spanMm, slackAsFoundMm, slackWantedMm, axle, m6, m8, whole, direction) => {
    const fine = chainAdjustment({ spanMm, slackAsFoundMm, slackWantedMm, adjusterPitchMm: 1 });
    expect(Math.abs(fine.axleTravelMm - axle)).toBeLessThan(1e-4);
    expect(Math.abs(fine.flatsExact - m6)).toBeLessThan(0.01);
    expect(fine.flatsPerSide).toBe(whole);
    expect(fine.direction).toBe(direction);
    const coarse = chainAdjustment({ spanMm, slackAsFoundMm, slackWantedMm, adjusterPitchMm: 1.25 });
    expect(Math.abs(coarse.flatsExact - m8)).toBeLessThan(0.01);
  });

  test("moving the axle by the answer leaves the wanted slack", () => {
    const slack = fc.double({ min: 0, max: 100, noNaN: true });
    fc.assert(
      fc.property(fc.double({ min: 100, max: 900, noNaN: true }), slack, slack, (spanMm, found, wanted) => {
        const { axleTravelMm } = chainAdjustment({ spanMm, slackAsFoundMm: found, slackWantedMm: wanted, adjusterPitchMm: 1 });
        const run = (s: number): number => Math.hypot(spanMm, s);
        expect(Math.abs(run(found) - 2 * axleTravelMm - run(wanted))).toBeLessThan(1e-9);
      }),
    );
  });

  test("impossible measures are refused", () => {
    const chain = { spanMm: 500, slackAsFoundMm: 50, slackWantedMm: 25, adjusterPitchMm: 1 };
    expect(() => chainAdjustment({ ...chain, spanMm: 0 })).toThrow(RangeError);
    expect(() => chainAdjustment({ ...chain, slackAsFoundMm: -1 })).toThrow(RangeError);
    expect(() => chainAdjustment({ ...chain, adjusterPitchMm: Number.NaN })).toThrow(RangeError);
  });
});
