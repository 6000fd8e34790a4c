// How machines are identified: registration marks and identification numbers.

export type MarkCheck = { readonly ok: true; readonly mark: string } | { readonly ok: false; readonly why: "length" | "character" };

/**
 * A registration mark as it is stored and compared: capitals, without spaces, hyphens, dots or invisible characters; letters and
 * digits of any script, 2 to 12 of them. `ok: false` says whether the length or a character stands against it.
 */
export function normaliseMark(text: string): MarkCheck {
  const mark = text
    .normalize("NFKC")
    .replace(/[\s\p{Pd}\p{Cf}.·•]/gu, "")
    .toUpperCase()
    .normalize("NFKC");
  if (!/^[\p{L}\p{M}\p{N}]*$/u.test(mark)) return { ok: false, why: "character" };
  const length = Array.from(mark).length;
  return length >= 2 && length <= 12 ? { ok: true, mark } : { ok: false, why: "length" };
}

// 49 CFR 565.15(c) Table III
const vinLetterValues: Readonly<Record<string, number>> = {
  ...{ A: 1, B: 2, C: 3, D: 4, E: 5, F: 6, G: 7, H: 8 },
  ...{ J: 1, K: 2, L: 3, M: 4, N: 5, P: 7, R: 9 },
  ...{ S: 2, T: 3, U: 4, V: 5, W: 6, X: 7, Y: 8, Z: 9 },
};
// 49 CFR 565.15(c) Table IV; the ninth place is the check digit's own
const vinWeights = [8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2] as const;
const vinPattern = /^[A-HJ-NPR-Z0-9]{17}$/;

/**
 * The check digit (`0` to `9`, or `X` for ten) that belongs in the ninth place of a 17-character identification number in
 * capitals; what stands there now does not matter, as long as it is a character that such a number may have. Throws a RangeError for
 * anything else. Source: 49 CFR 565.15(c).
 */
export function vinCheckDigit(vin: string): string {
  if (!vinPattern.test(vin)) throw new RangeError("not an identification number of 17 characters");
  let sum = 0;
  for (const [place, weight] of vinWeights.entries()) {
    const character = vin.charAt(place);
    sum += weight * (vinLetterValues[character] ?? Number(character));
  }
  const remainder = sum % 11;
  return remainder === 10 ? "X" : String(remainder);
}

export type VinWarning = "made-up" | "check-digit-mismatch";

export type VinCheck =
  | { readonly ok: true; readonly vin: string; readonly warnings: readonly VinWarning[] }
  | { readonly ok: false; readonly why: "length" | "character" };

/**
 * An identification number in capitals without spaces. A wrong length or a character outside the alphabet (I, O and Q are not in
 * it) refuses it (ISO 3779). The check digit only warns: it is a North American rule, and other machines need not keep it. A
 * number that looks made up is warned about too.
 */
export function checkVin(text: string): VinCheck {
  const compact = text.replace(/\s/g, "");
  // Before changing case: some letters of other scripts turn into Latin capitals.
  if (!/^[a-hj-npr-z0-9]*$/i.test(compact)) return { ok: false, why: "character" };
  if (compact.length !== 17) return { ok: false, why: "length" };
  const vin = compact.toUpperCase();
  const fits = vin.charAt(8) === vinCheckDigit(vin);
  return { ok: true, vin, warnings: [...(isMadeUp(vin) ? ["made-up" as const] : []), ...(fits ? [] : ["check-digit-mismatch" as const])] };
}

/** A number states maker, kind, year, works and serial, which takes at least so many different characters: common practice, no source. */
const leastDifferent = 5;
/** Nobody's serial number counts up for longer than the eight places that it may have (ISO 3779): common practice, no source. */
const longestRun = 8;
const inOrder = "01234567890ABCDEFGHJKLMNPRSTUVWXYZ";

/**
 * Whether an identification number looks as if somebody had to fill the field: one or a few characters over and over (seventeen ones,
 * zeros and threes pass the North American check digit), counted up, or the word for a trial. It may still be true, so it is asked about.
 */
function isMadeUp(vin: string): boolean {
  if (new Set(vin).size < leastDifferent || vin.includes("TEST")) return true;
  const runs = Array.from({ length: vin.length - longestRun }, (_, place) => vin.slice(place, place + longestRun + 1));
  return runs.some((run) => inOrder.includes(run) || "1234567891234567".includes(run));
}
