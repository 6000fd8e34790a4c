// How letters get onto a page of pdfkit: glyphs laid out once and written as operators, a page's operators written at once.
import type { FontKey } from "./fonts.ts";
import type { Run } from "./text-layout.ts";

/** Lines and runs that are remembered: a long paper meets ever new texts. */
export const mostLaidOut = 1_000;

/** In thousandths of the type size. */
interface GlyphPosition {
  readonly xAdvance: number;
  readonly advanceWidth: number;
  readonly xOffset: number;
  readonly yOffset: number;
}

/** What pdfkit has and its types do not say. */
interface Internals {
  readonly _font: {
    readonly id: string;
    ref(): PDFKit.PDFKitReference;
    encode(text: string): [string[], readonly GlyphPosition[]];
    layoutCache: object;
    readonly font: { hasGlyphForCodePoint(codePoint: number): boolean };
  };
}

/** pdfkit makes a buffer of every operator: a page of a table has thousands, and they are joined as text first. */
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

/** The glyphs of one paper's fonts. */
export class Glyphs {
  private readonly doc: PDFKit.PDFDocument;
  private readonly known = new Map<string, string | null>();
  private readonly fonts = new Map<FontKey, { readonly id: string; readonly ref: PDFKit.PDFKitReference }>();

  constructor(doc: PDFKit.PDFDocument) {
    this.doc = doc;
  }

  internals(font: FontKey): Internals["_font"] {
    return (this.doc.font(font) as unknown as Internals)._font;
  }

  fontOf(key: FontKey): { readonly id: string; readonly ref: PDFKit.PDFKitReference } {
    let font = this.fonts.get(key);
    if (font === undefined) {
      const internals = this.internals(key);
      font = { id: internals.id, ref: internals.ref() };
      this.fonts.set(key, font);
    }
    return font;
  }

  /**
   * The glyphs of a run with their kerning, as the operator TJ takes them (ISO 32000-1, 9.4.3); null where glyphs are shifted, which is
   * left to pdfkit. Remembered, since laying glyphs out is most of what a table costs.
   */
  shown({ font, text }: Run): string | null {
    const key = `${font} ${text}`;
    let shown = this.known.get(key);
    if (shown === undefined) {
      const [glyphs, positions] = this.internals(font).encode(text);
      const isShifted = font.startsWith("thai") || positions.some(({ xOffset, yOffset }) => xOffset !== 0 || yOffset !== 0);
      const parts = glyphs.map((glyph, index) => {
        const { xAdvance = 0, advanceWidth = 0 } = positions[index] ?? {};
        const kerning = advanceWidth - xAdvance;
        return kerning === 0 ? glyph : `${glyph}> ${Number(kerning.toFixed(2))} <`;
      });
      shown = isShifted ? null : `[<${parts.join("")}>] TJ`;
      if (this.known.size >= mostLaidOut) this.forget();
      this.known.set(key, shown);
    }
    return shown;
  }

  /** pdfkit remembers each word it has laid out, too, and for ever. */
  private forget(): void {
    this.known.clear();
    for (const font of this.fonts.keys()) this.internals(font).layoutCache = Object.create(null) as object;
  }
}
