// The drive chain: wear, slack, and how far to turn the adjusters.
import type { Handbook } from "../contracts/machine-model.ts";
import { isAbove, isBelow, judgeAgainst, limitOf, notSetVerdict, outsideVerdict, requirePositive, withinVerdict } from "./limits.ts";
import type { ValueVerdict } from "./verdict.ts";

type ChainFigures = NonNullable<Handbook["chain"]>;
type SlackFigures = NonNullable<Handbook["chainSlack"]>;

/**
 * How much longer a chain is than a new one, in percent, from its length over `pitches` pitches (pin to pin, so pitches + 1 pins).
 * Throws a RangeError unless all are above zero.
 */
export function elongationPercent(chain: { readonly pitchMm: number; readonly pitches: number; readonly lengthMm: number }): number {
  requirePositive("pitchMm", chain.pitchMm);
  requirePositive("pitches", chain.pitches);
  requirePositive("lengthMm", chain.lengthMm);
  return (chain.lengthMm / (chain.pitches * chain.pitchMm) - 1) * 100;
}

/** Renew soon over this much, where the handbook says nothing else. */
const COMMON_LIMIT_PERCENT = 2;
/** A new chain is never shorter than its pitches by more than a measuring error; less than this is a miscount. */
const MISCOUNT_PERCENT = -0.5;

/**
 * The elongation in percent at which a chain is renewed at once: 3, and on a sprocket of more than 66 teeth 200 / teeth (a chain
 * maker's note citing ANSI B29.1).
 */
export const renewAtOncePercent = (sprocketTeeth: number | undefined): number =>
  sprocketTeeth !== undefined && sprocketTeeth > 66 ? 200 / sprocketTeeth : 3;

/**
 * Wear of a chain from its length (mm) over the pitches that the handbook names, the worst of several places. Over the limit (the
 * handbook's, else 2 %): renew soon, `minor`. At 3 % (200 / teeth above 66 teeth): fails, `major`. A length that no chain can have,
 * being shorter than new, is `not-set` with `measureAgain`.
 */
export function judgeChainWear(lengthMm: number, chain: ChainFigures | undefined): ValueVerdict {
  if (chain === undefined) return notSetVerdict("percent");
  // A length of zero or less is a miscount too, not an error.
  const percent = lengthMm > 0 ? elongationPercent({ pitchMm: chain.pitchMm, pitches: chain.pitches, lengthMm }) : -100;
  const remarks = { compared: { value: percent, unit: "percent" } } as const;
  if (percent < MISCOUNT_PERCENT) return { ...notSetVerdict("percent"), ...remarks, measureAgain: true };
  const atOnce = renewAtOncePercent(chain.rearSprocketTeeth);
  if (!isBelow(percent, atOnce)) {
    return outsideVerdict("fails", "major", percent, limitOf("common-practice", "chain-makers-note", { most: atOnce }, "percent"), remarks);
  }
  const limit =
    chain.limitPercent === undefined
      ? limitOf("common-practice", "chain-common-limit", { most: COMMON_LIMIT_PERCENT }, "percent")
      : limitOf("handbook", "handbook", { most: chain.limitPercent }, "percent");
  if (isAbove(percent, chain.limitPercent ?? COMMON_LIMIT_PERCENT)) return outsideVerdict("renew-soon", "minor", percent, limit, remarks);
  return withinVerdict(limit, remarks);
}

/**
 * Common practice, no source: where the handbook is silent a chain moves about half an inch (12.7 mm) up and down in all; this much
 * either way is still 'about'.
 */
const COMMON_SLACK_MM = { least: 12.7 - 5, most: 12.7 + 5 };
/** Policy: slack of more than twice the handbook's most, or of more than 60 mm up and down, may foul or come off. */
const FOULING_TIMES = 2;
const foulingTotalIn: Readonly<Record<SlackFigures["method"], number>> = {
  "total-travel": 60,
  "one-way": 30,
  "gap-to-swinging-arm": Number.POSITIVE_INFINITY,
};

/**
 * Slack (mm, at the tightest place), measured by the handbook's own method; where the handbook is silent, total travel against
 * common practice. Outside: adjust, `minor`; so slack that the chain fouls something or could come off: adjust, `major`.
 */
export function judgeChainSlack(slackMm: number, handbook: SlackFigures | undefined): ValueVerdict {
  const limit =
    handbook === undefined
      ? limitOf("common-practice", "common-practice", COMMON_SLACK_MM, "mm")
      : limitOf("handbook", "handbook", { least: handbook.minMm, most: handbook.maxMm }, "mm");
  const verdict = judgeAgainst(slackMm, limit, "adjust", "minor");
  if (verdict.outcome === "within") return verdict;
  const method = handbook?.method ?? "total-travel";
  // The lower run is pushed up towards the arm: the slacker the chain, the smaller the gap, and at none it rubs.
  if (method === "gap-to-swinging-arm" && handbook?.run === "lower") {
    if (slackMm > 0) return verdict;
    return outsideVerdict("adjust", "major", slackMm, limit, { categoryBy: limitOf("common-practice", "policy", { least: 0 }, "mm") });
  }
  const foulingMm = Math.min(foulingTotalIn[method], handbook === undefined ? Number.POSITIVE_INFINITY : FOULING_TIMES * handbook.maxMm);
  if (!isAbove(slackMm, foulingMm)) return verdict;
  return outsideVerdict("adjust", "major", slackMm, limit, { categoryBy: limitOf("common-practice", "policy", { most: foulingMm }, "mm") });
}

/** What to do at the adjusters. `axleTravelMm` and `flatsExact` are positive to the rear (tighten), negative to the front (slacken). */
export interface ChainAdjustment {
  readonly axleTravelMm: number;
  /** Whole flats of the hexagon, the same on both sides, rounded down; never negative. */
  readonly flatsPerSide: number;
  readonly flatsExact: number;
  readonly direction: "tighten" | "slacken" | "none";
}

/** By how much a run of `spanMm` that moves `travelMm` up and down in all is longer than the straight. */
const excessMm = (spanMm: number, travelMm: number): number => travelMm ** 2 / (Math.hypot(spanMm, travelMm) + spanMm);

/**
 * How far the axle moves, and how many flats each adjuster nut is turned, to bring the slack (total travel, up and down, at mid-span)
 * from as found to as wanted. Exact: with the other run taut, the excess is sqrt(span^2 + slack^2) - span, and the axle moving back by
 * x lengthens both runs by x. A chain settles, so the flats are rounded down: measure again afterwards. Throws a RangeError unless span
 * and pitch are above zero and both slacks at least zero.
 */
export function chainAdjustment(chain: {
  readonly spanMm: number;
  readonly slackAsFoundMm: number;
  readonly slackWantedMm: number;
  readonly adjusterPitchMm: number;
}): ChainAdjustment {
  requirePositive("spanMm", chain.spanMm);
  requirePositive("adjusterPitchMm", chain.adjusterPitchMm);
  if (!(chain.slackAsFoundMm >= 0 && chain.slackWantedMm >= 0)) throw new RangeError("slack must not be negative");
  const axleTravelMm = (excessMm(chain.spanMm, chain.slackAsFoundMm) - excessMm(chain.spanMm, chain.slackWantedMm)) / 2;
  const flatsExact = (axleTravelMm / chain.adjusterPitchMm) * 6;
  const flatsPerSide = Math.floor(Math.abs(flatsExact) + 1e-9);
  const direction = axleTravelMm > 0 ? "tighten" : axleTravelMm < 0 ? "slacken" : "none";
  return { axleTravelMm, flatsPerSide, flatsExact, direction };
}

/**
 * How far at least (mm) the axle stands behind its place on a new chain, from the chain's elongation: the axle takes up half of what the
 * chain grew. Only the two runs and half the rear sprocket's teeth are counted as its length, so that the answer is never too high.
 */
export function adjusterUse(
  chain: { readonly spanMm: number; readonly pitchMm: number; readonly rearSprocketTeeth?: number | undefined },
  percent: number,
): number {
  const lengthMm = 2 * chain.spanMm + ((chain.rearSprocketTeeth ?? 0) / 2) * chain.pitchMm;
  return (lengthMm * Math.max(0, percent)) / 200;
}
