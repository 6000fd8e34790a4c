// Which fonts a report may be set in, and in which order they are tried for a character. No font is opened here.
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { dirname, join } from "node:path";

const require = createRequire(import.meta.url);

/** A font file with its weight, or one slice of a font: one key for each, since pdfkit parses a file again for every further key. */
export type FontKey = string;

/** Where the letters of a key come from. A weight is named where the file holds all weights in one. */
export interface FontSource {
  readonly file: string;
  readonly weight: number | null;
}

/** The forms of Han characters that differ by country. */
export type Han = "sc" | "tc" | "jp" | "kr";

const boldMark = "-bold";
const plainKey = (key: FontKey): string => (key.endsWith(boldMark) ? key.slice(0, -boldMark.length) : key);
const keyOf = (name: string, bold: boolean): FontKey => (bold ? `${name}${boldMark}` : name);

/** Regular, and bold where there is one. Noto Sans holds Latin, Greek, Cyrillic and Devanagari. All fonts: SIL Open Font License 1.1. */
const notoSans = dirname(require.resolve("@expo-google-fonts/noto-sans/package.json"));
const notoSansThai = dirname(require.resolve("@expo-google-fonts/noto-sans-thai/package.json"));
const arabic = join(dirname(require.resolve("@embedpdf/fonts-arabic")), "../fonts");
const notoSansHebrew = dirname(require.resolve("@expo-google-fonts/noto-sans-hebrew/package.json"));
const wholeFiles: Readonly<Record<string, readonly [string, string?]>> = {
  text: [join(notoSans, "400Regular/NotoSans_400Regular.ttf"), join(notoSans, "700Bold/NotoSans_700Bold.ttf")],
  thai: [join(notoSansThai, "400Regular/NotoSansThai_400Regular.ttf"), join(notoSansThai, "700Bold/NotoSansThai_700Bold.ttf")],
  arabic: [join(arabic, "NotoNaskhArabic-Regular.ttf"), join(arabic, "NotoNaskhArabic-Bold.ttf")],
  hebrew: [join(notoSansHebrew, "400Regular/NotoSansHebrew_400Regular.ttf"), join(notoSansHebrew, "700Bold/NotoSansHebrew_700Bold.ttf")],
  math: [require.resolve("@expo-google-fonts/noto-sans-math/400Regular/NotoSansMath_400Regular.ttf")],
  symbols: [require.resolve("@expo-google-fonts/noto-sans-symbols-2/400Regular/NotoSansSymbols2_400Regular.ttf")],
};

/** Fonts cut into slices of about a hundred characters, with all weights in each: of 16,000 Han characters a report opens only the slices that it needs. */
const slicedFonts: Readonly<Record<string, string>> = {
  georgian: require.resolve("@fontsource-variable/noto-sans-georgian/unicode.json"),
  armenian: require.resolve("@fontsource-variable/noto-sans-armenian/unicode.json"),
  bengali: require.resolve("@fontsource-variable/noto-sans-bengali/unicode.json"),
  tamil: require.resolve("@fontsource-variable/noto-sans-tamil/unicode.json"),
  sc: require.resolve("@fontsource-variable/noto-sans-sc/unicode.json"),
  tc: require.resolve("@fontsource-variable/noto-sans-tc/unicode.json"),
  jp: require.resolve("@fontsource-variable/noto-sans-jp/unicode.json"),
  kr: require.resolve("@fontsource-variable/noto-sans-kr/unicode.json"),
  emoji: require.resolve("@fontsource-variable/noto-emoji/unicode.json"),
};

interface Range {
  readonly from: number;
  readonly to: number;
  readonly slice: string;
}
const rangesByFont = new Map<string, readonly Range[]>();

/** Which characters lie in which slice, by the list that comes with the font. */
function rangesOf(font: string): readonly Range[] {
  let ranges = rangesByFont.get(font);
  if (ranges === undefined) {
    const list = JSON.parse(readFileSync(slicedFonts[font] ?? "", "utf8")) as Record<string, string>;
    ranges = Object.entries(list).flatMap(([slice, text]) =>
      text.split(",").map((one) => {
        const [from = "", to = from] = one.replace("U+", "").split("-");
        return { from: Number.parseInt(from, 16), to: Number.parseInt(to, 16), slice: slice.replace(/[[\]]/g, "") };
      }),
    );
    rangesByFont.set(font, ranges);
  }
  return ranges;
}

const sliceWith = (font: string, character: string): string | undefined => {
  const codePoint = character.codePointAt(0) ?? 0;
  return rangesOf(font).find(({ from, to }) => from <= codePoint && codePoint <= to)?.slice;
};

/** Where the letters of this key are. */
export function sourceOf(key: FontKey): FontSource {
  const [font = "", slice] = plainKey(key).split("/");
  const isBold = key.endsWith(boldMark);
  const whole = wholeFiles[font];
  if (whole !== undefined) return { file: (isBold ? whole[1] : undefined) ?? whole[0], weight: null };
  const list = slicedFonts[font];
  if (list === undefined || slice === undefined) throw new Error(`no font is called ${key}`);
  const name = font === "emoji" ? "noto-emoji" : `noto-sans-${font}`;
  return { file: join(dirname(list), "files", `${name}-${slice}-wght-normal.woff2`), weight: isBold ? 700 : 400 };
}

// By Script_Extensions, which has the marks and stops that a script shares with others (Unicode Standard Annex 24).
const byScript: readonly (readonly [RegExp, string])[] = [
  [/\p{scx=Thai}/u, "thai"],
  [/\p{scx=Arab}/u, "arabic"],
  [/\p{scx=Hebr}/u, "hebrew"],
  [/\p{scx=Geor}/u, "georgian"],
  [/\p{scx=Armn}/u, "armenian"],
  [/\p{scx=Beng}/u, "bengali"],
  [/\p{scx=Taml}/u, "tamil"],
];
const eastAsian = /[\p{scx=Han}\p{scx=Hiragana}\p{scx=Katakana}\p{scx=Hangul}\p{scx=Bopomofo}\uff00-\uffef]/u;
const emoji = /\p{Emoji_Presentation}/u;

/**
 * The forms in which Han characters are written beside kana, Hangul or bopomofo; null where they stand alone. Nobody's language is
 * recorded, and a name in Han characters alone can be of any country.
 */
export const hanOf = (text: string): Han | null => {
  if (/[\p{Script=Hiragana}\p{Script=Katakana}]/u.test(text)) return "jp";
  if (/\p{Script=Hangul}/u.test(text)) return "kr";
  return /\p{Script=Bopomofo}/u.test(text) ? "tc" : null;
};

/** The forms of Han characters if nothing shows the country: those of mainland China, which most people who write them use. */
export const defaultHan: Han = "sc";

const inOrder: Readonly<Record<Han, readonly string[]>> = {
  sc: ["sc", "tc", "jp", "kr"],
  tc: ["tc", "sc", "jp", "kr"],
  jp: ["jp", "sc", "tc", "kr"],
  kr: ["kr", "jp", "sc", "tc"],
};
/** A character of no script that has a font of its own. */
const forSigns = ["math", "symbols", "emoji"];

/** The fonts that may have a character, the best first. Whether a font has it, only its file says. */
export function* fontsFor(character: string, bold: boolean, han: Han = defaultHan): Generator<FontKey> {
  const own = byScript.filter(([script]) => script.test(character)).map(([, font]) => font);
  const order = eastAsian.test(character)
    ? [...inOrder[han], "text", ...forSigns]
    : emoji.test(character)
      ? ["emoji", "text", ...forSigns, ...inOrder[han]]
      : own.length === 1
        ? [...own, "text", ...forSigns]
        : ["text", ...own, ...forSigns, ...inOrder[han]];
  for (const font of order) {
    if (wholeFiles[font] !== undefined) {
      yield keyOf(font, bold && wholeFiles[font][1] !== undefined);
      continue;
    }
    const slice = sliceWith(font, character);
    if (slice !== undefined) yield keyOf(`${font}/${slice}`, bold);
  }
}

/** The font of all text that needs no other. */
export const textFont = (bold: boolean): FontKey => keyOf("text", bold);

/** Stands for a character that no embedded font can show: the reader sees that something is there. */
export const replacement = "\ufffd";

/** Whether it is a font of signs. Its signs are set alone, without the spaces around them, which are as wide as a sign in such a font. */
export const isOfSigns = (font: FontKey): boolean => /^(math|symbols|emoji)/.test(font);
