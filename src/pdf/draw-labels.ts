// Labels to cut out, two in a row, each with a QR code (ISO/IEC 18004) beside what people read.
import type { Labels } from "./document-codes.ts";
import { codeOf, drawCode, quietModules } from "./draw-code.ts";
import { hairline, ink, lineHeightPt, type Pen } from "./pen.ts";

const perRow = 2;
const heightPt = 122;
const paddingPt = 9;
/** The side of the code without its quiet zone, 33 mm: read at arm's length (common practice, no source). */
const codePt = 94;
const small = { bold: false, colour: ink.quiet };
/** A long name of a model or depot takes smaller letters: the mark is what a label is for. */
const lineSizes = [8, 7, 6, 5];
const markSizes = [30, 24, 19, 15, 12, 9, 7];

export const drawLabels = async (pen: Pen, { labels }: Labels): Promise<void> => {
  for (let from = 0; from < labels.length; from += perRow) {
    await pen.need(heightPt);
    labels.slice(from, from + perRow).forEach((label, place) => {
      drawOne(pen, label, pen.left + (place * pen.width) / perRow, pen.width / perRow);
    });
    pen.y += heightPt;
  }
};

const drawOne = (pen: Pen, { mark, lines, say, address, alt }: Labels["labels"][number], x: number, widthPt: number): void => {
  const top = pen.y;
  pen.artifact(() => pen.doc.lineWidth(0.5).dash(3, { space: 3 }).rect(x, top, widthPt, heightPt).stroke(hairline).undash());
  const code = codeOf(address);
  const modulePt = codePt / code.length;
  const [codeX, codeY] = [x + Math.max(paddingPt, quietModules * modulePt), top + (heightPt - codePt) / 2];
  const bbox: [number, number, number, number] = [codeX, codeY, codeX + codePt, codeY + codePt];
  pen.leaf("Figure", pen.root, () => drawCode(pen, code, codeX, codeY, modulePt), { alt, bbox });

  const textX = codeX + codePt + quietModules * modulePt + 4;
  const room = x + widthPt - paddingPt - textX;
  const sizePt = markSizes.find((size) => pen.layOut(mark, room, { sizePt: size, bold: true }).length === 1) ?? 7;
  const style = { sizePt, bold: true };
  let y = codeY;
  pen.leaf("P", pen.root, () => pen.setOne(mark, textX, y, { ...style, widthPt: room }));
  y += lineHeightPt(sizePt) + 3;
  const said = pen.layOut(say, room, { sizePt: 9, bold: true });
  const sayTop = codeY + codePt - said.length * lineHeightPt(9);
  const set = lineSizes.map((size) => ({ size, laid: lines.map((line) => pen.layOut(line, room, { ...small, sizePt: size })) }));
  const heightOf = ({ size, laid }: (typeof set)[number]) => laid.reduce((sum, one) => sum + one.length * lineHeightPt(size) + 2, 0);
  const fitting = set.find((one) => y + heightOf(one) <= sayTop) ?? set.at(-1);
  for (const one of fitting?.laid ?? []) {
    const linePt = lineHeightPt(fitting?.size ?? 0);
    const shown = one.slice(0, Math.max(1, Math.floor((sayTop - y) / linePt)));
    pen.leaf("P", pen.root, () => pen.set(shown, textX, y, { ...small, sizePt: fitting?.size ?? 0 }));
    y += shown.length * linePt + 2;
  }
  pen.leaf("P", pen.root, () => pen.set(said, textX, sayTop, { sizePt: 9, bold: true }));
};
