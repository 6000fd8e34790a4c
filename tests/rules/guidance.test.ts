// What an inspection says is to be done: in the order of the walk, with figures.
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { itemsFor } from "../../shared/catalogue/sheet.ts";
import { type Competence, competenceSchema } from "../../shared/contracts/common.ts";
import type { Handbook } from "../../shared/contracts/machine-model.ts";
import { adjusterUse, chainAdjustment } from "../../shared/rules/chain.ts";
import { type Guidance, guidanceFor, type Inspected } from "../../shared/rules/guidance.ts";
import { judgeReading } from "../../shared/rules/judge-reading.ts";
import type { ItemVerdict } from "../../shared/rules/verdict.ts";
import { sayGuidance } from "../../shared/words/say-guidance.ts";
import { sayMethod } from "../../shared/words/say-method.ts";
import { testHandbook, testMachine } from "../support/machines.ts";

const { features } = testMachine;
const all = competenceSchema.options;
const items = itemsFor(features, "weekly");

function verdict(itemId: string, asFound: number, asLeft?: number, handbook: Handbook = testHandbook): ItemVerdict {
  const quantity = items.find(({ id }) => id === itemId)?.quantity;
  if (quantity === undefined) throw new Error(`${itemId} is not measured`);
  const unit = quantity.endsWith("tyre-pressure") ? "kPa" : "mm";
  const reading = asLeft === undefined ? { asFound, unit } : { asFound, asLeft, unit };
  return { itemId, ...judgeReading({ ...testMachine, handbook, quantity, reading: reading as never }) };
}

const guide = (about: Partial<Inspected>): Guidance[] =>
  guidanceFor({
    features,
    handbook: testHandbook,
    verdicts: [],
    raised: [],
    oil: null,
    services: [],
    toFinish: [],
    competences: all,
    ...about,
  });
const codes = (about: Partial<Inspected>) => guide(about).map(({ code }) => code);
const raisedAt = (itemId: string, onlyNewPart = false) => {
  const item = items.find(({ id }) => id === itemId);
  return { itemId, onlyNewPart, competence: item?.competence ?? "general", secondPerson: item?.secondPerson ?? false };
};

describe("guidance", () => {
  test("goes in the order of the walk, whatever the order of the answers", () => {
    const verdicts = [verdict("chain-slack", 30), verdict("rear-lining", 1.9), verdict("front-tyre-tread-weekly", 1.2)];
    const at = guide({ verdicts }).map(({ itemId }) => items.findIndex(({ id }) => id === itemId));
    expect(at).toEqual([...at].sort((a, b) => a - b));
    expect(codes({ verdicts })).toEqual(["renew-soon", "fails", "adjust", "chain"]);
  });

  test("speaks of the value that was left, where work was done", () => {
    const [said] = guide({ verdicts: [verdict("front-brake-free-travel", 40, 33)] });
    expect(said).toMatchObject({ code: "fails", value: 33 });
    expect(guide({ verdicts: [verdict("front-brake-free-travel", 40, 25)] })).toEqual([]);
  });

  test("a frayed cable takes a new one, an expert's item names the competence, a brake takes a second mechanic", () => {
    expect(codes({ raised: [raisedAt("front-brake-cable-ends", true)] })).toEqual(["new-part", "second-person"]);
    const competences: Competence[] = ["general", "brakes"];
    const said = guide({ raised: [raisedAt("steering-head")], competences });
    expect(said).toEqual([
      { code: "expert", itemId: "steering-head", competence: "steering-and-bearings" },
      { code: "second-person", itemId: "steering-head" },
    ]);
  });

  test("oil that is due says by how much", () => {
    const oil = { itemId: "engine-oil-level", changed: true, due: true, by: "distance", kmLeft: -120, daysLeft: 12 } as const;
    expect(guide({ oil }).map((one) => sayGuidance(one).text)).toEqual([
      "Engine oil level: an oil change was due 120 km ago. Change the oil and note it as replaced.",
    ]);
    expect(guide({ oil: { ...oil, due: false, by: null, kmLeft: 50 } })).toEqual([]);
    const valves = { ...oil, itemId: "valve-clearance", changed: false } as const;
    expect(guide({ services: [valves, { ...valves, itemId: "coolant-level" }] }).map((one) => sayGuidance(one).text)).toEqual([
      "Valve clearance: by the handbook it was due 120 km ago, counted from the day it came here since no change is on record. Once done, enter it as replaced or adjusted.",
    ]);
  });
});

describe("the chain adjusters", () => {
  const withChain = (chain: Partial<NonNullable<Handbook["chain"]>>): Handbook => ({
    ...testHandbook,
    chain: { ...testHandbook.chain, adjusterPitchMm: 1.25, ...chain },
  });
  const chainOf = (handbook: Handbook, slack: number, length = 255) => {
    const verdicts = [verdict("chain-slack", slack, undefined, handbook), verdict("chain-wear", length, undefined, handbook)];
    return guide({ handbook, verdicts }).filter(({ itemId }) => itemId === "chain-slack");
  };

  test("span 500 mm, 40 mm to the middle of 20 to 30 mm: the axle goes 0.4864 mm back, 2 flats of M8 x 1.25", () => {
    // e = sqrt(C^2 + s^2) - C, D = (e1 - e2)/2: computed by hand; tolerance 0.00005 mm
    const chainSlack = { minMm: 20, maxMm: 30, method: "total-travel", run: "lower", wheel: "loaded" } as const;
    const said = chainOf({ ...withChain({}), chainSlack }, 40).find(({ code }) => code === "chain");
    if (said?.code !== "chain") throw new Error("no adjustment");
    expect(said.chain.axleTravelMm).toBeCloseTo(0.4864, 4);
    expect(said.chain).toMatchObject({ flatsPerSide: 2, direction: "tighten" });
    expect(sayGuidance(said).text).toContain(
      "both adjusters by 2 flats each, the same on both sides (0.42\u00a0mm of axle travel; the middle of the range is 0.49\u00a0mm away)",
    );
  });

  test("travel one way is half of the total; a gap to the swinging arm does not say how far to turn", () => {
    const of = (method: "one-way" | "gap-to-swinging-arm") =>
      chainOf({ ...withChain({}), chainSlack: { minMm: 10, maxMm: 15, method, run: "upper", wheel: "free" } }, 20);
    const oneWay = of("one-way").find(({ code }) => code === "chain");
    const total = chainAdjustment({ spanMm: 500, slackAsFoundMm: 40, slackWantedMm: 25, adjusterPitchMm: 1.25 });
    expect(oneWay).toMatchObject({ chain: total });
    expect(of("gap-to-swinging-arm").map(({ code }) => code)).toEqual(["adjust", "chain-total-travel"]);
  });

  test("the flats bring the chain towards the middle of its range and never past it", () => {
    const mm = fc.double({ min: 0, max: 60, noNaN: true });
    fc.assert(
      fc.property(mm, fc.double({ min: 200, max: 700, noNaN: true }), fc.constantFrom(1, 1.25, 1.5), (slack, spanMm, adjusterPitchMm) => {
        const { flatsPerSide, direction } = chainAdjustment({ spanMm, slackAsFoundMm: slack, slackWantedMm: 20, adjusterPitchMm });
        const travel = ((direction === "slacken" ? -1 : 1) * flatsPerSide * adjusterPitchMm) / 6;
        const excess = Math.hypot(spanMm, slack) - spanMm - 2 * travel;
        const after = Math.sqrt(Math.max(0, (excess + spanMm) ** 2 - spanMm ** 2));
        if (slack >= 20) expect(after).toBeGreaterThanOrEqual(20 - 1e-6);
        else expect(after).toBeLessThanOrEqual(20 + 1e-6);
      }),
    );
  });

  test("a chain past its limit of wear is renewed, not adjusted", () => {
    // 260 mm over 20 pitches of 12.7 mm is 2.36 %
    expect(chainOf(withChain({}), 30, 260).map(({ code }) => code)).toEqual(["adjust", "chain", "chain-worn"]);
    expect(chainOf(withChain({}), 30, 255).map(({ code }) => code)).toEqual(["adjust", "chain"]);
    expect(chainOf(withChain({}), 5, 260).map(({ code }) => code)).toEqual(["adjust", "chain"]);
  });

  test("adjusters that come to their end first are named with both figures", () => {
    // 98 links of 12.7 mm worn by 2 % take 12.446 mm of axle travel: two runs and half a sprocket make the least of that chain
    expect(adjusterUse({ spanMm: 622.3, pitchMm: 12.7 }, 2)).toBeCloseTo(12.446, 3);
    const said = chainOf(withChain({ adjusterRangeMm: 10 }), 30, 258.5);
    expect(said.map(({ code }) => code)).toEqual(["adjust", "chain", "chain-adjuster-end"]);
    expect(chainOf(withChain({ adjusterRangeMm: 30 }), 30, 258.5).map(({ code }) => code)).toEqual(["adjust", "chain"]);
    expect(sayGuidance(said[2] as Guidance).text).toMatch(
      /at least 11\.\d+\u00a0mm back from where a new chain holds it, and the adjusters have 10\u00a0mm/,
    );
  });
});

describe("the method goes with the limit", () => {
  test.each([
    ["total-travel", "lower", "loaded", "Total travel up and down at the middle of the lower run, both wheels on the ground"],
    ["one-way", "upper", "free", "Travel one way at the middle of the upper run, rear wheel off the ground"],
    ["gap-to-swinging-arm", "lower", "loaded", "Gap to the swinging arm"],
  ] as const)("chain slack as %s, %s run, wheel %s", (method, run, wheel, words) => {
    expect(sayMethod("chain-slack", { chainSlack: { minMm: 10, maxMm: 20, method, run, wheel } })).toContain(words);
  });

  test("chain length says its pitches, its pins and its load; a silent handbook is said to be so", () => {
    expect(sayMethod("chain-length", testHandbook)).toContain("20 pitches, which is 21 pins, with 98 N");
    expect(sayMethod("chain-length", {})).toContain("as the handbook says");
  });
});
