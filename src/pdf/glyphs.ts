// How letters get onto a page of pdfkit: glyphs laid out once and written as operators, a page's operators written at once.
import { remember } from "../../shared/remember.ts";
import { openFont } from "./font-files.ts";
import { type FontKey, textFont } from "./fonts.ts";
import { type PlacedGlyph, type ShapedRun, shapeRun } from "./shaping.ts";
import type { Run } from "./text-layout.ts";

/** How many runs are remembered: a long report always has new texts. */
export const mostLaidOut = 1_000;

/** In thousandths of the type size. */
interface GlyphPosition {
  readonly xAdvance: number;
  readonly advanceWidth: number;
}

/** What pdfkit has and its types do not say. */
interface EmbeddedFont {
  readonly id: string;
  readonly name: string;
  readonly scale: number;
  ref(): PDFKit.PDFKitReference;
  encode(text: string): [string[], readonly GlyphPosition[]];
  widthOfString(text: string, size: number): number;
  layoutCache: object;
  /** By the number of a glyph in this file: its width in thousandths, and the code points that it stands for. */
  readonly widths: number[];
  readonly unicode: number[][];
  readonly subset: { readonly glyphs: number[] };
}
interface Internals {
  readonly _font: EmbeddedFont;
  readonly _fontFamilies: Record<string, unknown>;
  readonly _registeredFonts: Record<string, unknown>;
}

/** A run as operators, without its font, size and place. */
interface Shown {
  readonly operators: string;
  /** Read glyph by glyph, its text would come out in the wrong order, so the text itself is written with it. */
  readonly needsText: boolean;
}

/** pdfkit makes a buffer of every operator. A page of a table has thousands, so they are joined as text first. */
export function writeAtOnce(page: PDFKit.PDFPage): void {
  const pieces: string[] = [];
  const [write, end] = [page.write.bind(page), page.end.bind(page)];
  page.write = (piece: string) => {
    pieces.push(piece);
  };
  page.end = () => {
    if (pieces.length > 0) write(pieces.splice(0).join("\n"));
    end();
  };
}

const colours = new Map<string, string>();
/** A colour `#rrggbb` as three shares of one. */
export function rgb(colour: string): string {
  let shares = colours.get(colour);
  if (shares === undefined) {
    shares = [1, 3, 5].map((at) => Number((Number.parseInt(colour.slice(at, at + 2), 16) / 255).toFixed(3))).join(" ");
    colours.set(colour, shares);
  }
  return shares;
}

/** Letters that stand one after the other, each with a glyph: pdfkit lays them out. All else is laid out by HarfBuzz. */
const oneByOne = /^[\p{Script=Latin}\p{Script=Cyrillic}\p{Script=Greek}\p{N}\p{P}\p{S}\p{Zs}]*$/u;
/** The fonts draw these as a letter and a separate dot or accent, and pdfkit would give only the letter as text: HarfBuzz lays them out too. */
const setAsTwo = /[\u01f9\u1e3f\u1e43\u1e45\u1e63\u1eb9\u1ecb\u1ecd\u1ee5]/u;
const isOneByOne = (font: FontKey, text: string, isRightToLeft: boolean): boolean =>
  !isRightToLeft && (font === textFont(false) || font === textFont(true)) && oneByOne.test(text) && !setAsTwo.test(text);

const rounded = (value: number): string => String(Number(value.toFixed(2)));

/** The glyphs of one report's fonts. */
export class Glyphs {
  private readonly doc: PDFKit.PDFDocument;
  private readonly known = new Map<string, Shown>();
  private readonly shaped = new Map<string, ShapedRun>();
  private readonly fonts = new Map<
    FontKey,
    { readonly embedded: EmbeddedFont; readonly ref: PDFKit.PDFKitReference; readonly numbers: Map<string, number> }
  >();

  constructor(doc: PDFKit.PDFDocument) {
    this.doc = doc;
  }

  /**
   * A font of this report, opened at its first letter. Opened anew for each report, though that takes some 30 ms for a large one: an open font
   * remembers by which letters its glyphs were first used, and a full stop first met as a part of an ellipsis could no longer be found as
   * text in any later report.
   */
  private open(key: FontKey) {
    let font = this.fonts.get(key);
    if (font === undefined) {
      const doc = this.doc as unknown as Internals;
      this.doc.registerFont(key, openFont(key).bytes as unknown as PDFKit.Mixins.PDFFontSource);
      this.doc.font(key);
      const embedded = doc._font;
      // pdfkit takes two fonts of the same name for one, and all slices and weights of a font have the same name.
      if (embedded.name !== key) delete doc._fontFamilies[embedded.name];
      font = { embedded, ref: embedded.ref(), numbers: new Map() };
      this.fonts.set(key, font);
    }
    return font;
  }

  internals(key: FontKey): EmbeddedFont {
    return this.open(key).embedded;
  }

  fontOf(key: FontKey): { readonly id: string; readonly ref: PDFKit.PDFKitReference } {
    const { embedded, ref } = this.open(key);
    return { id: embedded.id, ref };
  }

  /** In thousandths of the type size. */
  widthOf(font: FontKey, text: string, isRightToLeft: boolean): number {
    if (isOneByOne(font, text, isRightToLeft)) return this.internals(font).widthOfString(text, 1000);
    return this.shapedRun(font, text, isRightToLeft).width;
  }

  /** The glyphs of a run as the operator TJ takes them (ISO 32000-1, 9.4.3). Remembered, since laying glyphs out is most of what a table costs. */
  shown({ font, text, isRightToLeft }: Pick<Run, "font" | "text" | "isRightToLeft">): Shown {
    const key = `${font} ${isRightToLeft} ${text}`;
    let shown = this.known.get(key);
    if (shown === undefined) {
      shown = isOneByOne(font, text, isRightToLeft)
        ? this.kerned(font, text)
        : this.placed(font, this.shapedRun(font, text, isRightToLeft), isRightToLeft);
      if (this.known.size >= mostLaidOut) this.forget();
      this.known.set(key, shown);
    }
    return shown;
  }

  private kerned(font: FontKey, text: string): Shown {
    const [glyphs, positions] = this.internals(font).encode(text);
    const parts = glyphs.map((glyph, index) => {
      const { xAdvance = 0, advanceWidth = 0 } = positions[index] ?? {};
      const kerning = advanceWidth - xAdvance;
      return kerning === 0 ? glyph : `${glyph}> ${rounded(kerning)} <`;
    });
    return { operators: `[<${parts.join("")}>] TJ`, needsText: false };
  }

  private placed(font: FontKey, { glyphs, isPlain }: ShapedRun, isRightToLeft: boolean): Shown {
    const { embedded } = this.open(font);
    let operators = "[";
    let risen = 0;
    // How far the next glyph is to be moved to the left.
    let back = 0;
    for (const glyph of glyphs) {
      const number = this.numberOf(font, glyph);
      if (glyph.up !== risen) operators += `] TJ ${Number((glyph.up / 1000).toFixed(4))} Ts [`;
      risen = glyph.up;
      back -= glyph.right;
      operators += `${Math.abs(back) < 0.01 ? "" : rounded(back)}<${number.toString(16).padStart(4, "0")}>`;
      back = (embedded.widths[number] ?? 0) - glyph.advance + glyph.right;
    }
    operators += risen === 0 ? "] TJ" : "] TJ 0 Ts";
    // PDF readers reverse text that runs to the left by themselves, and would reverse a text written with it as well.
    return { operators, needsText: !isPlain && !isRightToLeft };
  }

  /** A glyph gets a number in the file for each text that it stands for: two letters may share the same dots. */
  private numberOf(key: FontKey, { glyphId, text }: PlacedGlyph): number {
    const { embedded, numbers } = this.open(key);
    const use = `${glyphId} ${text}`;
    let number = numbers.get(use);
    if (number === undefined) {
      number = embedded.subset.glyphs.push(glyphId) - 1;
      embedded.widths[number] = openFont(key).font.glyphHAdvance(glyphId) * embedded.scale;
      embedded.unicode[number] = Array.from(text, (character) => character.codePointAt(0) ?? 0);
      numbers.set(use, number);
    }
    return number;
  }

  private shapedRun(font: FontKey, text: string, isRightToLeft: boolean): ShapedRun {
    const key = `${font} ${isRightToLeft} ${text}`;
    let run = this.shaped.get(key);
    if (run === undefined) {
      run = shapeRun(font, text, isRightToLeft);
      remember(this.shaped, key, run, mostLaidOut);
    }
    return run;
  }

  /** Clears this memory and pdfkit's own, which otherwise keeps every word that it has laid out. */
  private forget(): void {
    this.known.clear();
    for (const { embedded } of this.fonts.values()) embedded.layoutCache = Object.create(null) as object;
  }
}
