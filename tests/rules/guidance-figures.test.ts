// Every sentence of guidance, for any machine and any reading, in both languages: each figure in it is computed here a second time, from
// the published formula and what was measured, and compared with what is printed. Sources: half-span triangle and ISO 606 pitches as
// computed by hand; 49 CFR 571.138 S4.2(a) for 25 %; SI 1986/1078 reg. 27 and 2/32 inch for tread; NIST SP 811 for psi.
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { itemsFor } from "../../shared/catalogue/sheet.ts";
import { competenceSchema } from "../../shared/contracts/common.ts";
import type { Handbook } from "../../shared/contracts/machine-model.ts";
import type { Quantity, Unit } from "../../shared/contracts/quantities.ts";
import type { DueAtItem } from "../../shared/rules/engine.ts";
import { type Guidance, guidanceFor } from "../../shared/rules/guidance.ts";
import { judgeReading } from "../../shared/rules/judge-reading.ts";
import type { ItemVerdict } from "../../shared/rules/verdict.ts";
import { de } from "../../shared/words/de.ts";
import { en } from "../../shared/words/en.ts";
import { sayDue, sayGuidance, sayLimit } from "../../shared/words/say-guidance.ts";
import { sayMethod } from "../../shared/words/say-method.ts";
import { nameOfItem } from "../../shared/words/say-reason.ts";
import { bound, expectFigures, type Figure, figure, figuresIn, plain } from "../support/figures.ts";
import { anyCase, type Case, oilDue, step } from "../support/inspected-cases.ts";
import { chainMachine, testHandbook } from "../support/machines.ts";

const languages = ["en", "de"] as const;
const items = itemsFor(chainMachine, "weekly");
const kPaOf: Readonly<Partial<Record<Unit, number>>> = { kPa: 1, psi: 6.894757293168, bar: 100 };

interface Asked {
  readonly handbook: "handbook" | "legal" | "common-practice";
  readonly least?: number;
  readonly most?: number;
}

/** Depth in mm that the law of a depot asks for; null where it has none, or asks for a pattern instead (up to 50 cc of petrol in Britain). */
const lawfulTread = ({ ruleSet, engineCc }: Case): number | "pattern" | null =>
  ruleSet === "us-model" ? (25.4 * 2) / 32 : ruleSet === "eu" ? null : engineCc !== null && engineCc <= 50 ? "pattern" : 1;

/** What may decide on a quantity, written down anew from the table of limits; the first that is not kept decides. */
function askedOf(quantity: Quantity, one: Case): readonly Asked[] {
  const { handbook: book, ruleSet } = one;
  const range = (of: { minMm: number; maxMm: number } | undefined): Asked[] =>
    of ? [{ handbook: "handbook", least: of.minMm, most: of.maxMm }] : [];
  const end = quantity.startsWith("front") ? "front" : "rear";
  const law = lawfulTread(one);
  const lining = ruleSet === "gb" ? (book.liningMaterial?.[end] === "sintered" ? 1 : 1.5) : null;
  const ownLining = book.liningLeastMm?.[end];
  const runOut = ruleSet !== "gb" ? null : book.rimMaterial?.[end] === "steel" ? 4 : book.rimMaterial?.[end] === "aluminium" ? 2 : null;
  switch (quantity) {
    case "front-tyre-pressure":
    case "rear-tyre-pressure": {
      const target = book.tyrePressure?.[end]?.solo.value;
      return target === undefined ? [] : [{ handbook: "handbook", least: target * 0.9, most: target * 1.1 }];
    }
    case "front-tread":
    case "rear-tread":
      return [
        ...(typeof law === "number" ? [{ handbook: "legal", least: law } as const] : []),
        { handbook: "handbook", least: book.treadLeastMm?.[end] ?? 0 },
      ];
    case "chain-slack":
      return book.chainSlack ? range(book.chainSlack) : [{ handbook: "common-practice", least: 7.7, most: 17.7 }];
    case "front-lining":
    case "rear-lining": {
      const legal = lining !== null && (ownLining === undefined || lining > ownLining);
      return [legal ? { handbook: "legal", least: lining } : { handbook: "handbook", least: ownLining ?? 0 }];
    }
    case "front-wheel-run-out":
    case "rear-wheel-run-out":
      return [
        ...(runOut === null ? [] : [{ handbook: "legal", most: runOut } as const]),
        { handbook: "handbook", most: book.wheelRunOutMostMm?.[end] ?? Number.POSITIVE_INFINITY },
      ];
    case "brake-rod-diameter":
      return [{ handbook: "legal", least: (book.brakeRodNewMm ?? 0) * (2 / 3) }];
    case "front-brake-free-travel":
    case "rear-brake-free-travel":
      return range(book.brakeFreeTravel?.[end]);
    case "plug-gap":
      return range(book.plugGap);
    case "clutch-free-travel":
      return range(book.clutchFreeTravel);
    case "throttle-free-play":
      return range(book.throttleFreePlay);
    case "engine-oil-level":
      return [{ handbook: "handbook", least: 0, most: 100 }];
    case "brake-efficiency":
      return [{ handbook: "legal", least: ruleSet === "gb" ? 30 : ruleSet === "eu" ? ((one.engineCc ?? 0) <= 50 ? 42 : 50) : 0 }];
    default:
      return [];
  }
}

const quantityOf = (itemId: string): Quantity => {
  const quantity = items.find(({ id }) => id === itemId)?.quantity;
  if (quantity === undefined) throw new Error(`${itemId} is not measured`);
  return quantity;
};
const readingAt = ({ itemId }: { itemId: string }, one: Case) => {
  const reading = one.readings[quantityOf(itemId)];
  if (reading === undefined) throw new Error(`nothing was measured at ${itemId}`);
  return reading;
};
const past = ({ least, most }: Asked, value: number): boolean =>
  (least !== undefined && value < least * (1 - 1e-9)) || (most !== undefined && value > most * (1 + 1e-9));
const boundsOf = ({ least, most }: Asked, unit: Unit): Figure[] =>
  [least, most].flatMap((value) => (value === undefined ? [] : [bound(value, unit)]));

/** Percent that this chain is longer than new: over N pitches, pin to pin. */
const longerBy = ({ handbook: { chain } }: Case, lengthMm: number): number =>
  chain ? (100 * (lengthMm - chain.pitches * chain.pitchMm)) / (chain.pitches * chain.pitchMm) : Number.NaN;
const chainLimit = ({ handbook: { chain } }: Case): number => chain?.limitPercent ?? 2;
const atOnce = ({ handbook: { chain } }: Case): number =>
  (chain?.rearSprocketTeeth ?? 0) > 66 ? 200 / (chain?.rearSprocketTeeth ?? 1) : 3;

/** A run bent into two half-span triangles by a sag of half its total travel: how much longer it is than the straight. */
const bentBy = (spanMm: number, travelMm: number): number => 2 * Math.sqrt((spanMm / 2) ** 2 + (travelMm / 2) ** 2) - spanMm;

function axleOf(one: Case): { needed: number; flats: number; pitch: number } {
  const { chain, chainSlack } = one.handbook;
  const reading = one.readings["chain-slack"];
  if (!chain?.spanMm || !chain.adjusterPitchMm || !chainSlack || !reading) throw new Error("no adjustment can be computed");
  const up = chainSlack.method === "one-way" ? 2 : 1;
  const wanted = up * ((chainSlack.minMm + chainSlack.maxMm) / 2);
  // Both runs grow by what the axle moves, so half of the difference is enough.
  const needed = (bentBy(chain.spanMm, up * (reading.asLeft ?? reading.asFound)) - bentBy(chain.spanMm, wanted)) / 2;
  return { needed, flats: Math.floor((6 * Math.abs(needed)) / chain.adjusterPitchMm + 1e-7), pitch: chain.adjusterPitchMm };
}

/** As left where work was done, else as found; what is compared is told beside it. */
function readingFigures(said: { itemId: string }, one: Case): { figures: Figure[]; value: number; unit: Unit } {
  const { asFound, asLeft, unit } = readingAt(said, one);
  const quantity = quantityOf(said.itemId);
  const value = asLeft ?? asFound;
  if (quantity === "chain-length") {
    const percent = longerBy(one, value);
    return { figures: [figure(value, unit), figure(percent, "percent")], value: percent, unit: "percent" };
  }
  const printed = one.handbook.tyrePressure?.[quantity.startsWith("front") ? "front" : "rear"]?.solo.unit;
  if (!quantity.endsWith("tyre-pressure") || printed === undefined || printed === unit)
    return { figures: [figure(value, unit)], value, unit };
  const compared = (value * (kPaOf[unit] ?? 1)) / (kPaOf[printed] ?? 1);
  return { figures: [figure(value, unit), figure(compared, printed)], value: compared, unit: printed };
}

/** Whose limits a sentence names: not one more than were asked, not one less. */
function expectAskers(text: string, askers: readonly Asked["handbook"][]): void {
  const named = [
    ...(/handbook|Handbuch/.test(text) ? ["handbook"] : []),
    ...(/common practice|üblich/.test(text) ? ["common-practice"] : []),
    ...(/the law|das Gesetz/.test(text) ? ["legal"] : []),
  ];
  expect([text, named]).toEqual([text, [...askers]]);
}

type Recompute = (said: Guidance, one: Case, text: string) => readonly Figure[];

/** The value printed last of the reading lies beyond the limit as printed: rounding has not put it inside. */
function expectPast(text: string, language: "en" | "de", figures: number, asked: Asked): void {
  const printed = figuresIn(text, language);
  const value = printed[figures - 1]?.value ?? Number.NaN;
  const [first = Number.NaN, second = first] = printed.slice(figures).map((one) => one.value);
  const outside =
    (asked.least !== undefined && value < first) || (asked.most !== undefined && value > (asked.least === undefined ? first : second));
  expect([text, outside]).toEqual([text, true]);
}

const languageOf = (text: string, said: Guidance): "en" | "de" => (sayGuidance(said, "de").text === text ? "de" : "en");

const ofLimit: Recompute = (said, one, text) => {
  const { figures, value, unit } = readingFigures(said, one);
  const quantity = quantityOf(said.itemId);
  const language = languageOf(text, said);
  if (quantity === "chain-length") {
    if (said.code === "fails") {
      expect(value).toBeGreaterThanOrEqual(atOnce(one) * (1 - 1e-9));
      return [...figures, bound(atOnce(one), "percent")];
    }
    const asked = {
      handbook: one.handbook.chain?.limitPercent === undefined ? "common-practice" : "handbook",
      most: chainLimit(one),
    } as const;
    expectAskers(text, [asked.handbook]);
    expectPast(text, language, figures.length, asked);
    return [...figures, bound(asked.most, "percent")];
  }
  const isTread = quantity.endsWith("-tread");
  if (isTread && lawfulTread(one) === "pattern" && said.code === "fails") {
    expect(value).toBe(0);
    expectAskers(text, ["legal"]);
    return figures;
  }
  const decided = askedOf(quantity, one).find((asked) => past(asked, value));
  if (!decided) throw new Error(`nothing that ${value} ${unit} is past: ${text}`);
  const law = lawfulTread(one);
  const kept = isTread && decided.handbook === "handbook" && typeof law === "number" ? [{ handbook: "legal", least: law } as const] : [];
  expectAskers(
    text,
    [decided, ...kept].map((asked) => asked.handbook),
  );
  expectPast(text, language, figures.length, decided);
  return [...figures, ...[decided, ...kept].flatMap((asked) => boundsOf(asked, unit))];
};

/** One way to compute the figures of each sentence; the compiler asks for it where a code is new, and so does the test below. */
const recompute: Readonly<Record<Guidance["code"], Recompute>> = {
  adjust: ofLimit,
  "renew-soon": ofLimit,
  fails: ofLimit,
  leak: (said, one) => {
    const { asFound, unit } = readingAt(said, one);
    const target = one.handbook.tyrePressure?.[said.itemId.startsWith("front") ? "front" : "rear"]?.solo;
    if (!target) throw new Error("a leak without a pressure to leak from");
    const share = 100 * (1 - (asFound * (kPaOf[unit] ?? 1)) / (target.value * (kPaOf[target.unit] ?? 1)));
    // 49 CFR 571.138 S4.2(a): at or below 25 % under the recommended cold pressure
    expect(share).toBeGreaterThanOrEqual(25 - 1e-6);
    return [figure(asFound, unit), figure(share, "percent"), bound(target.value, target.unit)];
  },
  chain: (_, one, text) => {
    const { needed, flats, pitch } = axleOf(one);
    expect(/tighten|anziehen/.test(text)).toBe(needed > 0);
    // Six flats are one turn, and one turn moves the axle by the pitch of the thread.
    const whole = flats === 0 ? [] : [plain(flats), figure((flats * pitch) / 6, "mm")];
    expect(/\bflats\b|Flächen/.test(text)).toBe(flats > 1);
    return [...whole, figure(Math.abs(needed), "mm")];
  },
  "chain-worn": (_, one) => {
    const length = one.readings["chain-length"];
    const percent = longerBy(one, length?.asLeft ?? length?.asFound ?? Number.NaN);
    const isAtOnce = percent >= atOnce(one) * (1 - 1e-9);
    const limit = isAtOnce ? atOnce(one) : chainLimit(one);
    expect(percent).toBeGreaterThanOrEqual(limit * (1 - 1e-9));
    return [figure(percent, "percent"), bound(limit, "percent")];
  },
  "chain-adjuster-end": (_, one) => {
    const { chain } = one.handbook;
    const length = one.readings["chain-length"];
    const worn = Math.max(0, length ? longerBy(one, length.asLeft ?? length.asFound) : 0) / 100;
    const counted = 2 * (chain?.spanMm ?? 0) + ((chain?.rearSprocketTeeth ?? 0) / 2) * (chain?.pitchMm ?? 0);
    const used = (counted * worn) / 2 + axleOf(one).needed;
    expect(used).toBeGreaterThan(chain?.adjusterRangeMm ?? 0);
    return [figure(used, "mm"), bound(chain?.adjusterRangeMm ?? 0, "mm")];
  },
  "oil-due": (_, one) => oilFigures(one.oil),
  "service-due": (said, one) => oilFigures(one.services.find(({ itemId }) => itemId === said.itemId) ?? null),
  "chain-total-travel": () => [],
  "new-part": () => [],
  expert: () => [],
  "second-person": () => [],
  tighten: () => [],
};

const oilFigures = (oil: DueAtItem | null): Figure[] =>
  ([oil?.kmLeft, oil?.daysLeft] as const).flatMap((left) =>
    left === null || left === undefined || left === 0 || (oil?.due && left > 0) ? [] : [plain(Math.abs(left))],
  );

const seen = new Set<string>();

function check(one: Case): void {
  const verdicts = items.flatMap(({ id, quantity }): ItemVerdict[] => {
    const reading = quantity && one.readings[quantity];
    return reading ? [{ itemId: id, ...judgeReading({ ...one, quantity, reading: reading as never }) }] : [];
  });
  const raised = verdicts
    .filter(({ result }) => result === "defect")
    .map(({ itemId }) => ({ itemId, onlyNewPart: itemId.endsWith("lining"), competence: "brakes" as const, secondPerson: true }));
  const competences = competenceSchema.options.filter((competence) => competence !== "brakes");
  for (const said of guidanceFor({ ...one, verdicts, raised, toFinish: ["rear-wheel-fast"], competences })) {
    seen.add(said.code);
    for (const language of languages) {
      const { text } = sayGuidance(said, language);
      expect(text).toMatch(/^[^{}]+[.]$/);
      const own = text.replace(nameOfItem(said.itemId, language), "");
      expectFigures(own, language, recompute[said.code](said, one, text));
    }
  }
}

describe("every sentence of guidance", () => {
  test("prints the figures that another computation gives, in both languages, whatever the machine and its readings", () => {
    fc.assert(fc.property(anyCase, check), { numRuns: 1500, seed: 10 });
    // All of them were met; a code that is new has to be added above, and to be met as well.
    expect([...seen].sort()).toEqual(Object.keys(recompute).sort());
  });

  test("belongs to a code whose figures are computed here", () => {
    const codes = Object.keys(recompute);
    const parts = ["longer", "asks", "oil"];
    for (const words of [en, de]) {
      const said = Object.keys(words).flatMap((key) => key.match(/^guidance\.([^.]+)/)?.[1] ?? []);
      expect([...new Set(said)].filter((name) => !codes.includes(name) && !parts.includes(name))).toEqual([]);
    }
  });
});

describe("as it was seen untrue", () => {
  const { tyrePressure, chainSlack, chain } = testHandbook;
  const book: Handbook = { tyrePressure, chainSlack, chain: { ...chain, adjusterPitchMm: 1.25 } };
  const said = (readings: Case["readings"], changes: Partial<Case> = {}): string[] => {
    const one: Case = {
      features: chainMachine,
      handbook: book,
      ruleSet: "gb",
      engineCc: 110,
      oil: null,
      services: [],
      readings,
      ...changes,
    };
    const verdicts = items.flatMap(({ id, quantity }): ItemVerdict[] => {
      const reading = quantity && readings[quantity];
      return reading ? [{ itemId: id, ...judgeReading({ ...one, quantity, reading: reading as never }) }] : [];
    });
    return guidanceFor({ ...one, verdicts, raised: [], toFinish: [], competences: [] }).map((guidance) => sayGuidance(guidance).text);
  };

  test("a worn chain has no legal limit to be inside of, and is 2.01 % longer than new", () => {
    // 259.105 / 254 is 1.0201
    expect(said({ "chain-length": { asFound: 259.105, unit: "mm" } })).toEqual([
      "Chain wear: 259.11\u00a0mm, 2.01\u00a0% longer than new; common practice asks for at most 2\u00a0%. Renew soon.",
    ]);
  });

  test("a tyre is a quarter under what it should have, not under what it may have", () => {
    expect(said({ "front-tyre-pressure": { asFound: 125, unit: "kPa" } })[0]).toContain(
      "found at 125\u00a0kPa, 28.6\u00a0% under the 175\u00a0kPa that it should have",
    );
  });

  test("six flats of M8 x 1.25 move the axle by 1.25 mm, whatever it would take", () => {
    // Span 500 mm, 57.3 mm to 20 mm: (57.3^2 - 20^2) / 2000 is 1.44 mm, 6.9 flats
    expect(said({ "chain-slack": { asFound: 57.3, unit: "mm" } })[1]).toMatch(
      /tighten both adjusters by 6 flats each.*\(1\.25\u00a0mm of axle travel; the middle of the range is 1\.4\d\u00a0mm away\)/,
    );
  });

  test("where the law asks for a pattern, or has no figure, no depth of the law is named", () => {
    const worn = { "front-tread": { asFound: 0.6, unit: "mm" } } as const;
    const treadLeastMm = { treadLeastMm: { front: 1.5 } };
    const law = (changes: Partial<Case>) => said(worn, { handbook: { ...book, ...treadLeastMm }, ...changes })[0];
    expect(law({ engineCc: 50 })).toMatch(/0\.6\u00a0mm; the handbook asks for at least 1\.5\u00a0mm\. Renew soon/);
    expect(law({ ruleSet: "eu" })).not.toMatch(/law/);
    expect(law({})).toMatch(/the law asks for at least 1\u00a0mm\. Do not release/);
  });
});

describe("limits, oil and methods", () => {
  test("a limit is printed to its last digit: what a gauge shows inside it is inside it", () => {
    const limit = fc.record({ least: fc.option(step(0, 400, 0.0005)), most: fc.option(step(400, 900, 0.0005)) });
    fc.assert(
      fc.property(limit, fc.constantFrom("mm", "kPa", "bar", "percent"), ({ least, most }, unit) => {
        for (const language of languages) {
          const text = sayLimit({ kind: "handbook", least, most, unit, source: "handbook" }, language);
          expectFigures(
            text,
            language,
            boundsOf({ handbook: "handbook", ...(least !== null && { least }), ...(most !== null && { most }) }, unit),
          );
        }
      }),
    );
  });

  test("oil says what is left or over, and nothing else", () => {
    fc.assert(
      fc.property(oilDue, (oil) => {
        for (const language of languages) expectFigures(sayDue(oil, language), language, oilFigures(oil));
      }),
    );
  });

  test("a length over N pitches is N + 1 pins", () => {
    fc.assert(
      fc.property(fc.integer({ min: 2, max: 60 }), fc.option(fc.integer({ min: 1, max: 300 })), (pitches, loadN) => {
        const chain = { pitchMm: testHandbook.chain.pitchMm, pitches, ...(loadN === null ? {} : { loadN }) };
        for (const language of languages) {
          const numbers = figuresIn(sayMethod("chain-length", { chain }, language), language).map(({ value }) => value);
          expect(numbers).toEqual([pitches, pitches + 1, ...(loadN === null ? [] : [loadN])]);
        }
      }),
    );
  });
});
