// The legal limits that apply to a depot, as data: each figure with its source. A figure that is not known is null, 'not set', and
// never a guess: then the handbook alone decides. Add a country by adding its figures here, its id to `ruleSetSchema` and its name to the words.
import type { RuleSet } from "../contracts/machine-model.ts";
import type { SourceKey } from "./sources.ts";

export interface Figure {
  readonly value: number;
  readonly source: SourceKey;
}

/** What a law may set. */
export interface RuleSetFigures {
  readonly treadLeastMm: Figure | null;
  /** up to this engine capacity a visible pattern takes the place of the depth */
  readonly patternInsteadUpToCc: Figure | null;
  readonly steelRimRunOutMostMm: Figure | null;
  readonly aluminiumRimRunOutMostMm: Figure | null;
  /** the share of its new diameter that a brake rod may have lost */
  readonly brakeRodWornMostShare: Figure | null;
  readonly liningLeastMm: Figure | null;
  readonly sinteredLiningLeastMm: Figure | null;
  /** of two controls each tried alone, what the better and the other must reach */
  readonly betterControlLeastPercent: Figure | null;
  readonly otherControlLeastPercent: Figure | null;
  /** both brakes together; the first for engines up to 50 cc */
  readonly bothBrakesTo50CcLeastPercent: Figure | null;
  readonly bothBrakesLeastPercent: Figure | null;
}

/** What a failed roadworthiness test does to a machine whose other papers are in order. */
export interface FailedTest {
  /** true: grounded from that day until it is passed; false: not set, so the ended paper alone decides */
  readonly grounds: boolean;
  readonly source: SourceKey;
}

// A machine that fails a test has at least one major deficiency, and a major one grounds here. Where the law would let it be ridden home,
// our rule is the stricter one.
export const failedTests: Readonly<Record<RuleSet, FailedTest>> = {
  gb: { grounds: true, source: "failed-test" },
  eu: { grounds: true, source: "failed-test" },
  "us-model": { grounds: false, source: "failed-test-not-set" },
};

const notSet: RuleSetFigures = {
  treadLeastMm: null,
  patternInsteadUpToCc: null,
  steelRimRunOutMostMm: null,
  aluminiumRimRunOutMostMm: null,
  brakeRodWornMostShare: null,
  liningLeastMm: null,
  sinteredLiningLeastMm: null,
  betterControlLeastPercent: null,
  otherControlLeastPercent: null,
  bothBrakesTo50CcLeastPercent: null,
  bothBrakesLeastPercent: null,
};

export const ruleSets: Readonly<Record<RuleSet, RuleSetFigures>> = {
  gb: {
    ...notSet,
    treadLeastMm: { value: 1.0, source: "cu-27" },
    patternInsteadUpToCc: { value: 50, source: "cu-27" },
    steelRimRunOutMostMm: { value: 4.0, source: "mot-5.2.2" },
    aluminiumRimRunOutMostMm: { value: 2.0, source: "mot-5.2.2" },
    brakeRodWornMostShare: { value: 1 / 3, source: "mot-1.1.15" },
    liningLeastMm: { value: 1.5, source: "mot-old-3.2" },
    sinteredLiningLeastMm: { value: 1.0, source: "mot-old-3.2" },
    betterControlLeastPercent: { value: 30, source: "mot-old-3.3" },
    otherControlLeastPercent: { value: 25, source: "mot-old-3.3" },
  },
  // Tread depth is left to each country there; the figures for brakes are from memory, and their source says so.
  eu: {
    ...notSet,
    otherControlLeastPercent: { value: 25, source: "directive-brakes" },
    bothBrakesTo50CcLeastPercent: { value: 42, source: "directive-brakes" },
    bothBrakesLeastPercent: { value: 50, source: "directive-brakes" },
  },
  // 2/32 of an inch, as most states have it; California's half of that is not this set.
  "us-model": { ...notSet, treadLeastMm: { value: 1.5875, source: "us-tread" } },
};
