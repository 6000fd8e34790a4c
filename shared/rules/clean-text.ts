// Text as it is kept. Keyboards, scanners and clipboards put in what nobody typed on purpose: that is put right and not refused.

// What `cleanText` has to deal with; most text has none of it.
const odd = /[^\P{Cc}\n]|\p{Cs}/u;

/** Tabs become spaces, line ends one kind, other control characters go, half a character becomes U+FFFD. */
export function cleanText(text: string): string {
  if (!odd.test(text)) return text;
  return text
    .replace(/\r\n?|\u0085/g, "\n")
    .replace(/[\t\v\f]/g, " ")
    .replace(/[^\P{Cc}\n]/gu, "")
    .replace(/\p{Cs}/gu, "\ufffd");
}

/** At most `most` UTF-16 units of it, without half a character at the end. */
export function clipText(text: string, most: number): string {
  if (text.length <= most) return text;
  return text
    .slice(0, most)
    .replace(/[\ud800-\udbff]$/, "")
    .trimEnd();
}
