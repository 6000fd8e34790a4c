// Money: whole minor units (cents, pence, yen) of one currency, never a fraction.

/** ISO 4217, as far as the platform knows the currency. */
export const isCurrency = (code: string): boolean => Intl.supportedValuesOf("currency").includes(code);

/** How many decimals the currency has (ISO 4217): two for most, none for the yen, three for some dinars. */
export const decimalsOf = (currency: string): number =>
  new Intl.NumberFormat("en", { style: "currency", currency }).resolvedOptions().maximumFractionDigits ?? 2;

/** The largest price or total that is taken, in minor units: a digit too many shows, and sums stay exact. */
export const mostMinor = 10_000_000_000;

/** An amount that somebody wrote in whole units with a point or a comma, in minor units; or what stands against it. */
export type ReadAmount = { readonly minor: number } | { readonly wrong: "negative" | "decimals" | "too-large" | "not-a-number" };

/** Reads `12.50` and `12,50` alike. A group separator is refused: whether `1.200` is a thousand or a little over one, nobody can tell. */
export function readAmount(text: string, decimals: number): ReadAmount {
  const said = text.trim();
  if (/^[-\u2212]/.test(said)) return { wrong: "negative" };
  if (!/^\d{1,12}([.,]\d{1,12})?$/.test(said)) return { wrong: "not-a-number" };
  const [whole = "", fraction = ""] = said.split(/[.,]/);
  if (fraction.length > decimals) return { wrong: "decimals" };
  const minor = BigInt(whole + fraction.padEnd(decimals, "0"));
  return minor > BigInt(mostMinor) ? { wrong: "too-large" } : { minor: Number(minor) };
}

/** An amount in whole units as a decimal, exactly: what a page formats and a spreadsheet reads. */
export function inUnits(minor: number, decimals: number): string {
  const digits = String(Math.abs(minor)).padStart(decimals + 1, "0");
  const cut = digits.length - decimals;
  return `${minor < 0 ? "-" : ""}${digits.slice(0, cut)}${decimals === 0 ? "" : `.${digits.slice(cut)}`}`;
}
