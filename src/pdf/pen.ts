// The pen that every block is drawn with: one place for pages, their head and foot, text, shapes and the structure tree.

import type { Readable } from "node:stream";
import { setTimeout as delay, setImmediate as nextTurn } from "node:timers/promises";
import { remember } from "../../shared/remember.ts";
import type { ReportHead } from "./document.ts";
import { Flow } from "./flow.ts";
import { Glyphs, mostLaidOut, rgb, writeAtOnce } from "./glyphs.ts";
import { type HeadLines, headLinesOf, headStyles, headTopPt } from "./head-lines.ts";
import { PageNumbers } from "./page-numbers.ts";
import { hairline, ink } from "./palette.ts";
import { openDocument } from "./pdf-document.ts";
import { hasGlyph } from "./shaping.ts";
import { type Line, layOut, layOutOne, lineHeightPt, type Run, type TextMeasure, type TextStyle } from "./text-layout.ts";

// In points (ISO 216); the margins leave room for two punched holes.
const sheets = { a4: { long: 841.89, short: 595.28 }, a5: { long: 595.28, short: 419.53 } };
const page = {
  left: 44,
  right: 44,
  /** from the line under the head to the first block */
  underHead: 14,
  bottom: 46,
};

/** How a report is laid out where it is not the usual upright page with its structure. */
export interface ReportLayout {
  /** A broad page, for tables with a column a day. */
  readonly landscape?: boolean;
  /** Without its structure tree, which for thousands of rows takes most of the memory and half of the file. */
  readonly untagged?: boolean;
  /** A4 unless said */
  readonly sheet?: keyof typeof sheets | undefined;
}

/** How many finished bytes may wait for the reader; with more, drawing pauses. */
const mostWaitingBytes = 1 << 20;
const waitMs = 5;
/** How many widths and lines are remembered: a long report always has new texts. */
const mostMeasured = 1_000;

/** Characters without a font that are named at the end of a report. */
const mostNamed = 8;

export { hairline, ink, tint } from "./palette.ts";

/** Structure types used, ISO 32000-1, 14.8.4. */
export type Tag =
  | "Document"
  | "H1"
  | "H2"
  | "H3"
  | "P"
  | "Table"
  | "TR"
  | "TH"
  | "TD"
  | "L"
  | "LI"
  | "Lbl"
  | "LBody"
  | "Figure"
  | "Form"
  | "Sect";
export type Element = PDFKit.PDFStructureElement;

export interface SetOptions extends TextStyle {
  readonly colour?: string;
  readonly align?: "left" | "right" | "centre";
  /** Needed for an alignment other than left. */
  readonly widthPt?: number;
}

export { lineHeightPt } from "./text-layout.ts";

/** Stands for every element of a report that has no structure tree. */
const noElement = { add: () => noElement, end: () => undefined } as unknown as Element;

export class Pen extends Flow {
  readonly doc: PDFKit.PDFDocument;
  readonly left = page.left;
  readonly width: number;
  readonly right: number;
  readonly bottom: number;
  readonly fullHeight: number;
  readonly root: Element;
  /** Characters that no font has. */
  private readonly undrawn = new Set<string>();
  private readonly head: ReportHead;
  private readonly covered = new Map<string, boolean>();
  private readonly measured = new Map<string, number>();
  private readonly stamps = new Map<string, string>();
  private readonly glyphs: Glyphs;
  private readonly laidOut = new Map<string, readonly Line[]>();
  private readonly pageNumbers: PageNumbers;
  private readonly headLines: HeadLines;
  protected readonly top: number;
  private footElement: Element | null = null;
  private readonly size: [number, number];
  private readonly tagged: boolean;

  constructor(head: ReportHead, { landscape = false, untagged = false, sheet = "a4" }: ReportLayout = {}) {
    super();
    this.head = head;
    this.tagged = !untagged;
    const { long, short } = sheets[sheet];
    this.size = landscape ? [long, short] : [short, long];
    const [width, height] = this.size;
    this.width = width - page.left - page.right;
    this.right = width - page.right;
    this.bottom = height - page.bottom;
    this.doc = openDocument(head, { size: this.size, tagged: this.tagged });
    this.glyphs = new Glyphs(this.doc);
    this.pageNumbers = new PageNumbers(this.doc);
    this.headLines = headLinesOf(this, head);
    this.top = this.headLines.rule + page.underHead;
    this.fullHeight = this.bottom - this.top;
    this.root = this.tagged ? this.doc.struct("Document") : noElement;
    if (this.tagged) this.doc.addStructure(this.root);
    this.startPage();
  }

  readonly measure: TextMeasure = {
    widthOf: (font, text, sizePt, isRightToLeft) => {
      const key = `${font} ${isRightToLeft} ${text}`;
      let width = this.measured.get(key);
      if (width === undefined) {
        width = this.glyphs.widthOf(font, text, isRightToLeft) / 1000;
        remember(this.measured, key, width, mostMeasured);
      }
      return width * sizePt;
    },
    covers: (font, character) => {
      const key = `${font} ${character}`;
      let covers = this.covered.get(key);
      if (covers === undefined) {
        covers = hasGlyph(font, character);
        this.covered.set(key, covers);
      }
      return covers;
    },
    lacks: (character) => this.undrawn.add(character),
  };

  /** The same text comes again and again in a table: names, marks, days. */
  layOut(text: string, widthPt: number, style: TextStyle): readonly Line[] {
    const key = `${style.sizePt} ${style.bold} ${widthPt} ${text}`;
    let lines = this.laidOut.get(key);
    if (lines === undefined) {
      lines = layOut(text, widthPt, style, this.measure);
      remember(this.laidOut, key, lines, mostLaidOut);
    }
    return lines;
  }

  /** Draws lines from `top` downwards and returns their height. The caller says in the structure tree what they are. */
  set(lines: readonly Line[], x: number, top: number, options: SetOptions): number {
    const { sizePt, colour = ink.plain, align = "left", widthPt = 0 } = options;
    lines.forEach((line, index) => {
      const slack = widthPt - line.widthPt;
      const left = x + (align === "right" ? slack : align === "centre" ? slack / 2 : 0);
      const baseline = top + index * lineHeightPt(sizePt) + sizePt * 1.06;
      for (const run of line.runs) this.setRun(run, left + run.fromPt, baseline, sizePt, colour);
    });
    return lines.length * lineHeightPt(sizePt);
  }

  private setRun(run: Run, x: number, baseline: number, sizePt: number, colour: string): void {
    const { doc } = this;
    const { id, ref } = this.glyphs.fontOf(run.font);
    const { operators, needsText } = this.glyphs.shown(run);
    doc.page.fonts[id] ??= ref;
    if (needsText) doc.markContent("Span", { actual: run.text });
    // The page's y axis points down, so the letters are flipped upright again. The matrix also sets their size, so shifts are in parts of it.
    const matrix = `${sizePt} 0 0 ${-sizePt} ${x.toFixed(2)} ${baseline.toFixed(2)}`;
    doc.addContent(`BT ${rgb(colour)} rg /${id} 1 Tf ${matrix} Tm ${operators} ET`);
    if (needsText) doc.endMarkedContent();
  }

  /** Places a small drawing, which is drawn once at the origin and reused, with its corner here. */
  stamp(name: string, x: number, y: number, draw: () => void): void {
    let operators = this.stamps.get(name);
    if (operators === undefined) {
      const pieces: string[] = [];
      const { page } = this.doc;
      const write = page.write.bind(page);
      page.write = (piece: string) => {
        pieces.push(piece);
      };
      draw();
      page.write = write;
      operators = pieces.join("\n");
      this.stamps.set(name, operators);
    }
    this.doc.addContent(`q 1 0 0 1 ${x.toFixed(2)} ${y.toFixed(2)} cm\n${operators}\nQ`);
  }

  /** A line across from the left to the right margin. */
  rule(y: number, widthPt: number, colour: string): void {
    this.doc.addContent(`${widthPt} w ${rgb(colour)} RG ${this.left} ${y.toFixed(2)} m ${this.right.toFixed(2)} ${y.toFixed(2)} l S`);
  }

  /** One line of text that is known to fit, or is cut at the width with an ellipsis. */
  setOne(text: string, x: number, top: number, options: SetOptions & { readonly widthPt: number }): void {
    const line = layOutOne(text, options.widthPt, options, this.measure);
    if (line !== null) this.set([line], x, top, options);
  }

  tag(
    type: Tag,
    parent: Element,
    options: {
      alt?: string;
      scope?: "Column" | "Row";
      bbox?: [number, number, number, number];
    } = {},
  ): Element {
    if (!this.tagged || this.isTrial) return noElement;
    const element = this.doc.struct(type, options as PDFKit.Mixins.StructureElementOptions);
    parent.add(element);
    return element;
  }

  /** What `draw` puts on the page belongs to this element. Never spans a page break. */
  mark(type: Tag, element: Element, draw: () => void): void {
    if (this.isTrial) return;
    if (!this.tagged) {
      draw();
      return;
    }
    const content = this.doc.markStructureContent(type);
    draw();
    this.doc.endMarkedContent();
    element.add(content);
  }

  /** An element with nothing but the content drawn here. */
  leaf(type: Tag, parent: Element, draw: () => void, options: Parameters<Pen["tag"]>[2] = {}): void {
    const element = this.tag(type, parent, options);
    this.mark(type, element, draw);
    element.end();
  }

  /** Rules, grounds and whatever else means nothing by itself. */
  artifact(draw: () => void, type: "Layout" | "Pagination" = "Layout"): void {
    if (this.isTrial) return;
    if (!this.tagged) {
      draw();
      return;
    }
    this.doc.markContent("Artifact", { type });
    draw();
    this.doc.endMarkedContent();
  }

  /** Adds this place to the list of contents that a PDF reader shows. */
  bookmark(text: string, top: number): void {
    if (this.isTrial) return;
    // The types lack the option that says where on its page a bookmark leads.
    this.doc.outline.addItem(text, { top } as Parameters<PDFKit.PDFOutline["addItem"]>[1]);
  }

  /** Other work of the process gets its turn between two pages. */
  protected async beginPage(): Promise<void> {
    await nextTurn();
    // pdfkit goes on writing even if its reader does not keep up.
    while (!this.doc.destroyed && this.stream.readableLength > mostWaitingBytes) await delay(waitMs);
    if (this.doc.destroyed) throw new Error("the reader of this paper went away");
    this.startPage();
  }

  private get stream(): Readable {
    return this.doc as unknown as Readable;
  }

  /** A line about the characters that no font has; null if all were drawn. */
  get notDrawn(): string | null {
    if (this.undrawn.size === 0) return null;
    const named = [...this.undrawn]
      .slice(0, mostNamed)
      .map((one) => `U+${(one.codePointAt(0) ?? 0).toString(16).toUpperCase().padStart(4, "0")}`);
    return this.head.notDrawn.replace("{signs}", named.join(", ") + (this.undrawn.size > mostNamed ? ", \u2026" : ""));
  }

  finish(): void {
    if (this.footElement !== null) this.root.add(this.footElement);
    this.root.end();
    this.pageNumbers.write(this.head.pageOf, this.glyphs, (text, width, style) => this.layOut(text, width, style));
    this.doc.end();
  }

  /** Head and foot repeat on every page; only on the first are they part of what is read aloud. */
  private startPage(): void {
    const { doc, head } = this;
    const isFirst = this.pageNumbers.count === 0;
    doc.addPage({ size: this.size, margin: 0 });
    writeAtOnce(doc.page);
    const { firm, depot, title, printedPt, rule } = this.headLines;
    const drawHead = () => {
      let top = headTopPt;
      top += this.set(firm, this.left, top, headStyles.firm);
      top += this.set(depot, this.left, top, headStyles.rest);
      this.setOne(head.printedAt, this.right - printedPt, top, { ...headStyles.rest, widthPt: printedPt, align: "right" });
      this.set(title, this.left, top, headStyles.rest);
    };
    const drawFoot = () => {
      const style = { sizePt: 7.5, bold: false, colour: ink.quiet };
      this.set(this.layOut(head.caution, this.width, style), this.left, this.bottom + 10, style);
    };
    if (isFirst) {
      this.leaf("P", this.root, drawHead);
      this.footElement = this.tagged ? doc.struct("P") : noElement;
      this.mark("P", this.footElement, drawFoot);
    } else {
      this.artifact(drawHead, "Pagination");
      this.artifact(drawFoot, "Pagination");
    }
    this.artifact(() => {
      doc.lineWidth(0.8).strokeColor(ink.plain);
      doc.moveTo(this.left, rule).lineTo(this.right, rule).stroke();
      doc.lineWidth(0.4).strokeColor(hairline);
      doc
        .moveTo(this.left, this.bottom + 6)
        .lineTo(this.right, this.bottom + 6)
        .stroke();
      this.pageNumbers.place(this.right, headTopPt + 9.5);
    }, "Pagination");
    this.y = this.top;
  }
}
