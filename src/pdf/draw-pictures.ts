// Pictures in rows of two, each with its caption. A row stands on one page.
import type { Pictures } from "./document.ts";
import { hairline, ink, lineHeightPt, type Pen } from "./pen.ts";

type Picture = Pictures["pictures"][number];

const perRow = 2;
const gapPt = 14;
const mostHeightPt = 215;
/** A small picture is not enlarged: its pixels would show, and it would look more detailed than it is. */
const mostPtPerPx = 0.75;
const emptyHeightPt = 64;
const captionGapPt = 4;
const afterRowPt = 10;
const style = { sizePt: 7.8, bold: false };

const cellWidth = (pen: Pen): number => (pen.width - gapPt * (perRow - 1)) / perRow;

const sizeOf = (pen: Pen, { shown }: Picture): { widthPt: number; heightPt: number } => {
  const width = cellWidth(pen);
  if (typeof shown === "string") return { widthPt: width, heightPt: emptyHeightPt };
  const scale = Math.min(width / shown.widthPx, mostHeightPt / shown.heightPx, mostPtPerPx);
  return { widthPt: shown.widthPx * scale, heightPt: shown.heightPx * scale };
};

const heightsOf = (pen: Pen, row: readonly Picture[]): { picturePt: number; rowPt: number } => {
  const picturePt = Math.max(...row.map((picture) => sizeOf(pen, picture).heightPt));
  const lines = Math.max(...row.map(({ caption }) => pen.layOut(caption, cellWidth(pen), style).length));
  return { picturePt, rowPt: picturePt + captionGapPt + lines * lineHeightPt(style.sizePt) };
};

export const drawPictures = async (pen: Pen, { pictures }: Pictures): Promise<void> => {
  for (let from = 0; from < pictures.length; from += perRow) {
    const row = pictures.slice(from, from + perRow);
    const { picturePt, rowPt } = heightsOf(pen, row);
    await (from + perRow >= pictures.length ? pen.needLast(rowPt) : pen.need(rowPt));
    row.forEach((picture, place) => {
      drawOne(pen, picture, pen.left + place * (cellWidth(pen) + gapPt), picturePt);
    });
    pen.y += rowPt + pen.gap(afterRowPt);
  }
};

/** Pictures of a row stand on one line, and their captions begin on one. */
const drawOne = (pen: Pen, picture: Picture, x: number, picturePt: number): void => {
  const { widthPt, heightPt } = sizeOf(pen, picture);
  const { shown, alt, caption } = picture;
  const top = pen.y + picturePt - heightPt;
  const bbox: [number, number, number, number] = [x, top, x + widthPt, top + heightPt];
  if (typeof shown === "string") {
    pen.artifact(() => pen.doc.lineWidth(0.6).rect(x, top, widthPt, heightPt).stroke(hairline));
    const lines = pen.layOut(shown, widthPt - 20, style);
    const textTop = top + (heightPt - lines.length * lineHeightPt(style.sizePt)) / 2;
    pen.leaf("P", pen.root, () => pen.set(lines, x + 10, textTop, { ...style, colour: ink.quiet }));
  } else {
    pen.leaf("Figure", pen.root, () => pen.doc.image(shown.bytes, x, top, { width: widthPt, height: heightPt }), { alt, bbox });
  }
  const lines = pen.layOut(caption, cellWidth(pen), style);
  pen.leaf("P", pen.root, () => pen.set(lines, x, pen.y + picturePt + captionGapPt, { ...style, colour: ink.quiet }));
};
