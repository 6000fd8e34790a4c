// What a check took, beside what it takes: said to whoever made it.
import type { Pace } from "../rules/daily-check.ts";
import { type Language, word } from "./speak.ts";

/** Both figures, and where it was quicker than anybody looks, that as well. */
export const sayPace = ({ seconds, usualSeconds, leastSeconds }: Pace, language: Language = "en"): string =>
  word(seconds < leastSeconds ? "pace.quick" : "pace.usual", language, { seconds, usual: usualSeconds, least: leastSeconds });
