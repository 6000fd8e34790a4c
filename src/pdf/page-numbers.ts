// 'Page n of N': the number of pages is not known while they are drawn, so each page refers to a form object that is written at the end.
import type { Glyphs } from "./glyphs.ts";
import type { Line } from "./text-layout.ts";

const style = { sizePt: 8.5, bold: true };
const widthPt = 220;

export class PageNumbers {
  private readonly doc: PDFKit.PDFDocument;
  private readonly places: PDFKit.PDFKitReference[] = [];

  constructor(doc: PDFKit.PDFDocument) {
    this.doc = doc;
  }

  get count(): number {
    return this.places.length;
  }

  /** Reserves the place on the current page, with its right end and baseline. */
  place(right: number, baseline: number): void {
    const number = this.doc.ref({ Type: "XObject", Subtype: "Form", BBox: [-widthPt, -6, 4, 16] });
    const name = `Page${this.places.length + 1}`;
    this.places.push(number);
    this.doc.page.xobjects[name] = number;
    this.doc.addContent(`q 1 0 0 -1 ${right} ${baseline} cm /${name} Do Q`);
  }

  /** `pageOf` has `{page}` and `{pages}` in it. */
  write(
    pageOf: string,
    glyphs: Glyphs,
    layOut: (text: string, widthPt: number, style: { sizePt: number; bold: boolean }) => readonly Line[],
  ): void {
    this.places.forEach((number, index) => {
      const text = pageOf.replace("{page}", String(index + 1)).replace("{pages}", String(this.places.length));
      const [line] = layOut(text, widthPt, style);
      const fonts: Record<string, PDFKit.PDFKitReference> = {};
      let at = -(line?.widthPt ?? 0);
      for (const run of line?.runs ?? []) {
        const font = glyphs.internals(run.font);
        fonts[font.id] = font.ref();
        const [shown] = font.encode(run.text);
        number.write(`BT /${font.id} ${style.sizePt} Tf ${at.toFixed(3)} 0 Td <${shown.join("")}> Tj ET`);
        at += run.widthPt;
      }
      Object.assign(number.data, { Resources: { Font: fonts } });
      number.end(undefined);
    });
  }
}
