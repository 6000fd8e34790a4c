// A count out of a number, with its interval and what to ask about it.
import type { Figure } from "../../shared/contracts/insight.ts";
import { type WordKey, word } from "../../shared/words/index.ts";
import { wilson } from "../statistics/index.ts";

export type Question = Extract<WordKey, `insight.question.${string}`>;

/** `count` out of `of`, with Wilson's 95 % interval. Out of none there is no share, and the interval is 0 to 1. */
export const figure = (count: number, of: number, question: Question): Figure => ({
  count,
  of,
  share: of === 0 ? null : count / of,
  ...wilson(count, of),
  question: word(question),
});
