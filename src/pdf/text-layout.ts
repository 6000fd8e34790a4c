// Where lines of text break, which font each part of a line has, and where it is placed. Pure: widths and available characters come from `TextMeasure`.
import LineBreaker from "linebreak";
import { type Directed, directed, isDirection, isIsolateMark, seenOrder, undirected } from "./direction.ts";
import { defaultHan, type FontKey, fontsFor, type Han, hanOf, isOfSigns, replacement, textFont } from "./fonts.ts";

export interface TextMeasure {
  /** Width in points. */
  widthOf(font: FontKey, text: string, sizePt: number, isRightToLeft: boolean): number;
  covers(font: FontKey, character: string): boolean;
  /** Called for each character that no font has. */
  lacks?(character: string): void;
}

/** Letters of one font and one direction, in the order in which they are read. */
export interface Run {
  readonly font: FontKey;
  readonly text: string;
  readonly isRightToLeft: boolean;
  /** From the left end of the line. */
  readonly fromPt: number;
  readonly widthPt: number;
}

export interface Line {
  /** In reading order, so that screen readers and text extraction get it in that order. */
  readonly runs: readonly Run[];
  readonly widthPt: number;
  /** What it says. */
  readonly text: string;
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

/** Joiners and variation selectors: invisible characters that change how their neighbours look. */
const shapesNeighbours = /\p{Join_Control}|\p{Variation_Selector}/u;

/** The font of a character, null where none has it. */
const fontOf = (character: string, bold: boolean, han: Han, measure: TextMeasure): FontKey | null => {
  for (const font of fontsFor(character, bold, han)) if (measure.covers(font, character)) return font;
  return null;
};

/**
 * Text as it may be set: composed (NFC), without control and direction characters (they could make a line read as something
 * else), line breaks kept, and what no font shows replaced.
 */
export const settable = (text: string, bold: boolean, measure: TextMeasure, han: Han = defaultHan): string => {
  const plain = text
    .normalize("NFC")
    .replace(/\r\n?|\u2028|\u2029/g, "\n")
    .replace(/\t/g, " ")
    // Joiners stay only between letters that join, or inside a sign made of several characters.
    .replace(/(?<![\p{M}\p{Lo}\p{So}\p{Sk}])\p{Join_Control}/gu, "")
    .replace(/[\p{Cc}\p{Cf}]/gu, (character) =>
      character === "\n" || isIsolateMark(character) || shapesNeighbours.test(character) ? character : "",
    );
  let out = "";
  for (const character of plain) {
    const isShown = character === "\n" || isIsolateMark(character) || shapesNeighbours.test(character);
    if (isShown || fontOf(character, bold, han, measure) !== null) out += character;
    else {
      measure.lacks?.(character);
      out += replacement;
    }
  }
  return out;
};

// Scripts without spaces: a line may end nearly anywhere, but not before a full stop or a small kana (UAX 14).
const eastAsian = /[\p{scx=Han}\p{scx=Hiragana}\p{scx=Katakana}\p{scx=Bopomofo}]/u;

const betweenLetters = (piece: string): string[] => {
  const breaker = new LineBreaker(piece);
  const pieces: string[] = [];
  let from = 0;
  for (let at = breaker.nextBreak(); at !== null; at = breaker.nextBreak()) {
    pieces.push(piece.slice(from, at.position));
    from = at.position;
  }
  return pieces;
};

/** Pieces of one paragraph; a line may end after each. A day or a number with a hyphen stays whole. */
export const breakPieces = (paragraph: string): string[] =>
  paragraph
    .split(/(?<=[ \u3000])(?=[^ \u3000])|(?<=\p{L}[-/\u2013])(?=\p{L})|(?<=\u2014)/u)
    .flatMap((piece) => (/\p{Script=Thai}/u.test(piece) ? [...thaiWords.segment(piece)].map((part) => part.segment) : [piece]))
    .flatMap((piece) => (eastAsian.test(piece) ? betweenLetters(piece) : [piece]))
    .filter((piece) => piece !== "");

interface Settings {
  readonly style: TextStyle;
  readonly measure: TextMeasure;
  readonly han: Han;
}

const runsOf = (
  { text, levels }: Directed,
  from: number,
  to: number,
  { style, measure, han }: Settings,
): (Omit<Run, "fromPt"> & { readonly level: number })[] => {
  const parts: { font: FontKey; text: string; level: number }[] = [];
  let at = from;
  for (const character of text.slice(from, to)) {
    const level = levels?.[at] ?? 0;
    at += character.length;
    if (isDirection(character)) continue;
    const last = parts.at(-1);
    const isSameWay = last?.level === level;
    // Spaces and marks stay in the run before them, and between right-to-left letters so do full stops: fewer runs, a mark is never separated
    // from its letter, and readers that reverse such text get it whole.
    const mayJoin =
      level % 2 === 1 ? /[\p{M}\p{P}\p{Z}]/u : last && isOfSigns(last.font) ? /\p{M}|\p{Emoji_Modifier}/u : /[\p{Mn}\p{Mc} ]/u;
    if (last && (shapesNeighbours.test(character) || (isSameWay && mayJoin.test(character) && measure.covers(last.font, character)))) {
      last.text += character;
      continue;
    }
    if (shapesNeighbours.test(character)) continue;
    const font = fontOf(character, style.bold, han, measure) ?? textFont(style.bold);
    if (last && isSameWay && last.font === font) last.text += character;
    else parts.push({ font, text: character, level });
  }
  return parts.map(({ font, text: letters, level }) => {
    const isRightToLeft = level % 2 === 1;
    return { font, text: letters, level, isRightToLeft, widthPt: measure.widthOf(font, letters, style.sizePt, isRightToLeft) };
  });
};

const widthOf = (runs: readonly { readonly widthPt: number }[]): number => runs.reduce((sum, run) => sum + run.widthPt, 0);

const lineOf = (paragraph: Directed, from: number, to: number, settings: Settings): Line => {
  const parts = runsOf(paragraph, from, to, settings);
  const places: number[] = [];
  let widthPt = 0;
  for (const index of seenOrder(parts.map(({ level }) => level))) {
    places[index] = widthPt;
    widthPt += parts[index]?.widthPt ?? 0;
  }
  const runs = parts.map(({ font, text, isRightToLeft, widthPt }, index) => ({
    font,
    text,
    isRightToLeft,
    fromPt: places[index] ?? 0,
    widthPt,
  }));
  return { runs, widthPt, text: undirected(paragraph.text.slice(from, to)) };
};

/** Latin letters, digits and signs that every embedded font shows as they stand: nothing about such text has to be decided character by character. */
const plainLatin = /^[\x20-\x7e\u00a1-\u00ac\u00ae-\u017f]*$/;

/** Breaks text into lines no wider than `widthPt`; a word wider than that is broken between characters as the reader sees them. */
export const layOut = (text: string, widthPt: number, style: TextStyle, measure: TextMeasure): Line[] => {
  if (plainLatin.test(text)) {
    const plain = text.trimEnd();
    const font = textFont(style.bold);
    const width = plain === "" ? 0 : measure.widthOf(font, plain, style.sizePt, false);
    const run = { font, text: plain, isRightToLeft: false, fromPt: 0, widthPt: width };
    if (width <= widthPt) return [{ runs: plain === "" ? [] : [run], widthPt: width, text: plain }];
  }
  const settings = { style, measure, han: hanOf(text) ?? defaultHan };
  return settable(text, style.bold, measure, settings.han)
    .split("\n")
    .flatMap((paragraph) => linesOf(directed(paragraph), widthPt, settings));
};

function linesOf(paragraph: Directed, widthPt: number, settings: Settings): Line[] {
  const { text } = paragraph;
  const lines: Line[] = [];
  const endOf = (from: number, to: number) => from + text.slice(from, to).trimEnd().length;
  const fits = (from: number, to: number) => widthOf(runsOf(paragraph, from, endOf(from, to), settings)) <= widthPt;
  // The line that is being filled.
  let [from, to] = [0, 0];
  const turn = () => {
    lines.push(lineOf(paragraph, from, endOf(from, to), settings));
    from = to;
  };
  for (const piece of breakPieces(text)) {
    const end = to + piece.length;
    if (!fits(from, end) && to > from) turn();
    if (fits(from, end)) {
      to = end;
      continue;
    }
    for (const { segment } of graphemes.segment(piece)) {
      if (to > from && !fits(from, to + segment.length)) turn();
      to += segment.length;
    }
  }
  turn();
  return lines;
}

const dots = "\u2026";

/** One line that ends in an ellipsis where the text is wider than `widthPt`, and is no wider with it. */
export const layOutOne = (text: string, widthPt: number, style: TextStyle, measure: TextMeasure): Line | null => {
  const flat = text.replaceAll("\n", " ");
  const [first, ...more] = layOut(flat, widthPt, style, measure);
  if (first === undefined || more.length === 0) return first ?? null;
  const cut = Array.from(graphemes.segment(first.text.trimEnd()), ({ segment }) => segment);
  for (;;) {
    const [line, ...rest] = layOut(`${cut.join("").trimEnd()}${dots}`, widthPt, style, measure);
    if (line === undefined || rest.length === 0 || cut.length === 0) return line ?? null;
    cut.pop();
  }
};
