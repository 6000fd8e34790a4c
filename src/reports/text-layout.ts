// Where lines of text break and which font each part of a line takes. Pure: widths and coverage are asked of `TextMeasure`.
import { type FontKey, fontFor, replacement } from "./fonts.ts";

export interface TextMeasure {
  /** Width in points. */
  widthOf(font: FontKey, text: string, sizePt: number): number;
  covers(font: FontKey, character: string): boolean;
}

export interface Run {
  readonly font: FontKey;
  readonly text: string;
  readonly widthPt: number;
}

export interface Line {
  readonly runs: readonly Run[];
  readonly widthPt: number;
}

export interface TextStyle {
  readonly sizePt: number;
  readonly bold: boolean;
}

/** Height of a line over its type size: Thai vowels and tone marks need the room above and below. */
const leading = 1.36;
export const lineHeightPt = (sizePt: number): number => sizePt * leading;

// Thai is written without spaces: its words come from the dictionary that Node carries.
const thaiWords = new Intl.Segmenter("th", { granularity: "word" });
const graphemes = new Intl.Segmenter("und", { granularity: "grapheme" });

/**
 * Text as it may be set: composed (NFC), without control and direction characters (they could make a line read as something
 * else), line breaks kept, and what no font shows replaced.
 */
export const settable = (text: string, bold: boolean, measure: TextMeasure): string => {
  const plain = text
    .normalize("NFC")
    .replace(/\r\n?|\u2028|\u2029/g, "\n")
    .replace(/\t/g, " ")
    .replace(/[\p{Cc}\p{Cf}]/gu, (character) => (character === "\n" ? "\n" : ""));
  let out = "";
  for (const character of plain) {
    if (character === "\n" || measure.covers(fontFor(character, bold), character)) out += character;
    else out += replacement;
  }
  return out;
};

/** Pieces of one paragraph; a line may end after each. A day or a number with a hyphen stays whole. */
export const breakPieces = (paragraph: string): string[] =>
  paragraph
    .split(/(?<=[ \u3000])(?=[^ \u3000])|(?<=\p{L}[-/\u2013])(?=\p{L})|(?<=\u2014)/u)
    .flatMap((piece) => (/\p{Script=Thai}/u.test(piece) ? [...thaiWords.segment(piece)].map((part) => part.segment) : [piece]))
    .filter((piece) => piece !== "");

const runsOf = (text: string, style: TextStyle, measure: TextMeasure): Run[] => {
  const parts: { font: FontKey; text: string }[] = [];
  for (const character of text) {
    const last = parts.at(-1);
    // Spaces and marks stay with the run before them: fewer runs, and a mark is never torn off its letter.
    const joins = last !== undefined && /[\p{Mn}\p{Mc} ]/u.test(character) && measure.covers(last.font, character);
    const font = joins ? last.font : fontFor(character, style.bold);
    if (last?.font === font) last.text += character;
    else parts.push({ font, text: character });
  }
  return parts.map((part) => ({
    ...part,
    widthPt: measure.widthOf(part.font, part.text, style.sizePt),
  }));
};

const lineOf = (text: string, style: TextStyle, measure: TextMeasure): Line => {
  const runs = runsOf(text, style, measure);
  return { runs, widthPt: runs.reduce((sum, run) => sum + run.widthPt, 0) };
};

/** Latin letters, digits and signs that every embedded font shows as they stand: nothing about such text has to be decided character by character. */
const plainLatin = /^[\x20-\x7e\u00a1-\u00ac\u00ae-\u017f]*$/;

/** Breaks text into lines no wider than `widthPt`; a word wider than that is broken between characters as the reader sees them. */
export const layOut = (text: string, widthPt: number, style: TextStyle, measure: TextMeasure): Line[] => {
  if (plainLatin.test(text)) {
    const plain = text.trimEnd();
    const font = fontFor("a", style.bold);
    const width = plain === "" ? 0 : measure.widthOf(font, plain, style.sizePt);
    if (width <= widthPt) return [{ runs: plain === "" ? [] : [{ font, text: plain, widthPt: width }], widthPt: width }];
  }
  const widthOf = (piece: string) => lineOf(piece, style, measure).widthPt;
  const lines: string[] = [];
  for (const paragraph of settable(text, style.bold, measure).split("\n")) {
    let current = "";
    const place = (piece: string) => {
      if (widthOf((current + piece).trimEnd()) <= widthPt) current += piece;
      else if (current === "") {
        for (const { segment } of graphemes.segment(piece)) {
          if (current !== "" && widthOf(current + segment) > widthPt) {
            lines.push(current);
            current = "";
          }
          current += segment;
        }
      } else {
        lines.push(current.trimEnd());
        current = "";
        place(piece.trimStart());
      }
    };
    for (const piece of breakPieces(paragraph)) place(piece);
    lines.push(current.trimEnd());
  }
  return lines.map((line) => lineOf(line, style, measure));
};
