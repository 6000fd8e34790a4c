// Names and notes that run from right to left, put into sentences that do not.

/** Letters of the scripts that are written from right to left: Hebrew, Arabic and their neighbours, by their blocks. */
const rightToLeft = /[\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufefc\u{10800}-\u{10fff}\u{1e800}-\u{1efff}]/u;
export const runsRightToLeft = (text: string): boolean => rightToLeft.test(text);

/** First Strong Isolate and Pop Directional Isolate: what stands between them does not turn what stands around it (UAX 9, 2.4). */
export const isolateStart = "\u2068";
export const isolateEnd = "\u2069";

/** A value that is put into a sentence, kept from turning the sentence round. Text of one direction stays as it is. */
export const isolated = (value: string): string => (runsRightToLeft(value) ? `${isolateStart}${value}${isolateEnd}` : value);
