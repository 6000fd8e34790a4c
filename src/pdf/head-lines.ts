// The head of every page: firm, depot and title have lines of their own, as many as they take, so that nothing of them is cut.
import type { ReportHead } from "./document.ts";
import { ink } from "./palette.ts";
import { type Line, lineHeightPt, type TextStyle } from "./text-layout.ts";

export const headTopPt = 26;
export const headStyles = {
  firm: { sizePt: 9.5, bold: true },
  rest: { sizePt: 8, bold: false, colour: ink.quiet },
};
/** Kept free for the number of the page. */
const numberPt = 90;
const gapPt = 12;

export interface HeadLines {
  readonly firm: readonly Line[];
  readonly depot: readonly Line[];
  readonly title: readonly Line[];
  /** Width of the time of printing, with its time zone. */
  readonly printedPt: number;
  /** Where the line under the head is drawn. */
  readonly rule: number;
}

/** Lays out the head of a report on a page of this width. */
export function headLinesOf(
  page: { readonly width: number; readonly layOut: (text: string, widthPt: number, style: TextStyle) => readonly Line[] },
  head: ReportHead,
): HeadLines {
  const { firm: firmStyle, rest } = headStyles;
  const firm = page.layOut(head.firmName, page.width - numberPt, firmStyle);
  const depot = page.layOut(head.depotName, page.width, rest);
  const printedPt = (page.layOut(head.printedAt, 10_000, rest)[0]?.widthPt ?? 0) + 1;
  const title = page.layOut(`${head.title} \u00b7 ${head.period}`, page.width - printedPt - gapPt, rest);
  const height = firm.length * lineHeightPt(firmStyle.sizePt) + (depot.length + title.length) * lineHeightPt(rest.sizePt);
  return { firm, depot, title, printedPt, rule: headTopPt + height + 2 };
}
