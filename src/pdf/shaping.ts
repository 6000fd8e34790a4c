// The glyphs of a run of text, laid out by HarfBuzz: letters joined, marks on their letters, from the left as they are seen.
import { Buffer, BufferFlag, Direction, shape } from "harfbuzzjs";
import { openFont } from "./font-files.ts";
import type { FontKey } from "./fonts.ts";

/** In thousandths of the type size. */
export interface PlacedGlyph {
  readonly glyphId: number;
  readonly advance: number;
  readonly right: number;
  readonly up: number;
  /** The text that a PDF reader extracts for the glyph; empty if another glyph of the same letters carries it. */
  readonly text: string;
}

export interface ShapedRun {
  readonly glyphs: readonly PlacedGlyph[];
  readonly width: number;
  /** Each glyph is one character in the order of the text, none of them shifted: nothing can be read out of order. */
  readonly isPlain: boolean;
}

// One buffer for all runs: memory in WebAssembly would be freed late.
const buffer = new Buffer();

/** For a glyph without text some PDF readers extract the character of its number. A zero-width space is invisible; but between reversed letters it is extracted, and NUL is not. */
const noText = { ltr: "\u200b", rtl: "\u0000" };

/**
 * Which glyph of a cluster carries which of its characters. From left to right: one each, and the last glyph all that are left. From right to
 * left: the widest carries all of them in reverse, since readers reverse such text; marks carry none, or readers would sort them by their place.
 */
function tell(characters: readonly string[], widths: readonly number[], isRightToLeft: boolean): string[] {
  if (isRightToLeft) {
    const widest = widths.indexOf(Math.max(...widths));
    return widths.map((_, index) => (index === widest ? [...characters].reverse().join("") : noText.rtl));
  }
  const last = widths.length - 1;
  return widths.map((_, index) => (index === last ? characters.slice(index).join("") : characters[index]) || noText.ltr);
}

export function shapeRun(key: FontKey, text: string, isRightToLeft: boolean): ShapedRun {
  const { font, unitsPerEm } = openFont(key);
  const scale = 1000 / unitsPerEm;
  buffer.reset();
  buffer.addText(text);
  buffer.setDirection(isRightToLeft ? Direction.RTL : Direction.LTR);
  // Joiners and selectors say how their neighbours look and have no glyph.
  buffer.setFlags(BufferFlag.REMOVE_DEFAULT_IGNORABLES);
  buffer.guessSegmentProperties();
  shape(font, buffer);
  const positions = buffer.getGlyphPositions();
  const placed = buffer.getGlyphInfos().map(({ codepoint, cluster }, index) => {
    const { xAdvance = 0, xOffset = 0, yOffset = 0 } = positions[index] ?? {};
    return { glyphId: codepoint, cluster, advance: xAdvance * scale, right: xOffset * scale, up: yOffset * scale };
  });
  const starts = [...new Set(placed.map(({ cluster }) => cluster))].sort((a, b) => a - b);
  // A joiner goes with the letter before it: a PDF reader that finds it at the end of a reversed text takes the whole text for invisible.
  const startOf = (cluster: number): number => {
    if (cluster === 0) return 0;
    return cluster + (/^\p{Join_Control}*/u.exec(text.slice(cluster))?.[0].length ?? 0);
  };
  const endOf = new Map(starts.map((start, index) => [start, startOf(starts[index + 1] ?? text.length)]));
  const glyphs: PlacedGlyph[] = [];
  let isPlain = true;
  for (let at = 0, end = 0; at < placed.length; at = end) {
    const cluster = placed[at]?.cluster ?? 0;
    while (placed[end]?.cluster === cluster) end += 1;
    const mine = placed.slice(at, end);
    const characters = Array.from(text.slice(startOf(cluster), endOf.get(cluster)));
    const told = tell(
      characters,
      mine.map(({ advance }) => advance),
      isRightToLeft,
    );
    isPlain &&= mine.length === 1 && characters.length === 1 && mine.every(({ right, up }) => right === 0 && up === 0);
    mine.forEach(({ glyphId, advance, right, up }, index) => {
      glyphs.push({ glyphId, advance, right, up, text: told[index] ?? "" });
    });
  }
  return { glyphs, width: glyphs.reduce((sum, { advance }) => sum + advance, 0), isPlain };
}

/** Whether a font has this character. */
export const hasGlyph = (key: FontKey, character: string): boolean =>
  openFont(key).font.nominalGlyph(character.codePointAt(0) ?? 0) !== undefined;
