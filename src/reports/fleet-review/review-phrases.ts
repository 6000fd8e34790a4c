// What all parts of a review say alike.
import type { Rate } from "../../../shared/contracts/insight.ts";
import type { Phrases } from "../phrases.ts";

export interface ReviewPhrases extends Phrases {
  /** a share as `94.8 %` */
  readonly percent: (share: number) => string;
  readonly oneDecimal: (value: number) => string;
  /** the rate in 1,000 machine-days with its interval and its count */
  readonly rateText: (rate: Rate) => string;
  /** a dash where it is not known */
  readonly hours: (hours: number | null) => string;
}

export const dash = "\u2013";
const hourMs = 3_600_000;

export const reviewPhrases = (phrases: Phrases): ReviewPhrases => {
  const { say, number, amount, duration } = phrases;
  const oneDecimal = (value: number): string => number(Math.round(value * 10) / 10);
  return {
    ...phrases,
    oneDecimal,
    percent: (share) => amount(share * 100, "percent"),
    rateText: ({ defects, machineDays, per1000, low, high }) =>
      per1000 === null || low === null || high === null
        ? say("report.review.rate-too-little", { count: number(defects), days: oneDecimal(machineDays) })
        : say("report.review.rate-text", { rate: oneDecimal(per1000), low: oneDecimal(low), high: oneDecimal(high), count: defects }),
    hours: (hours) => (hours === null ? dash : duration(hours * hourMs)),
  };
};
