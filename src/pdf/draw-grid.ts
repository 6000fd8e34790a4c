// The grid of machines by day: a row a machine, a mark a day. Marks differ by shape, and what they mean stands on every page.
import type { DayGrid } from "./document.ts";
import { legend } from "./draw-chart.ts";
import { setFitted } from "./fit-text.ts";
import { hairline, ink, lineHeightPt, type Pen, tint } from "./pen.ts";
import { drawDay } from "./shapes.ts";

const size = 14.5;
const rowHeight = size + 2.5;
const countWidth = 34;
const headHeight = 26;
/** Height of the legend, the head and three rows, which stay on one page with the heading. */
export const gridStartPt = 32 + headHeight + 3 * rowHeight;
const small = { sizePt: 6.6, bold: false, colour: ink.quiet };

export const drawGrid = async (pen: Pen, grid: DayGrid): Promise<void> => {
  const entries = grid.legend.map(({ mark, text }) => ({ text, draw: (x: number, y: number) => drawDay(pen, mark, x, y - 1, 10) }));
  const daysAt = pen.right - grid.countHeads.length * countWidth - grid.heads.length * (size + 1) - 4;
  const labelWidth = daysAt - pen.left - 6;
  const countsAt = pen.right - grid.countHeads.length * countWidth;
  const drawHead = () => {
    pen.y += legend(pen, pen.y, entries, true) + 6;
    pen.artifact(() => pen.doc.rect(pen.left, pen.y, pen.width, headHeight - 4).fill(tint.plain));
    grid.heads.forEach(({ text, isRest }, place) => {
      const x = daysAt + place * (size + 1);
      pen.setOne(text, x, pen.y + 6, {
        sizePt: 6.6,
        bold: !isRest,
        colour: isRest ? ink.quiet : ink.plain,
        align: "centre",
        widthPt: size,
      });
    });
    grid.countHeads.forEach((text, place) => {
      const lines = pen.layOut(text, countWidth - 3, { ...small, sizePt: 6 });
      const top = pen.y + (headHeight - 4 - lines.length * lineHeightPt(6)) / 2;
      pen.set(lines, countsAt + place * countWidth, top, {
        ...small,
        sizePt: 6,
        colour: ink.plain,
        align: "right",
        widthPt: countWidth - 3,
      });
    });
    pen.y += headHeight;
  };
  let isEmpty = true;
  for (const row of grid.rows) {
    if (isEmpty) {
      await pen.need(gridStartPt);
      drawHead();
    } else if (await pen.need(rowHeight)) drawHead();
    isEmpty = false;
    const top = pen.y;
    pen.setOne(row.label, pen.left, top - 0.5, { sizePt: 7.6, bold: true, widthPt: labelWidth });
    setFitted(pen, row.note, pen.left, top + 8.4, { ...small, sizePt: 5.6, widthPt: labelWidth, heightPt: 8 });
    row.days.forEach((mark, place) => {
      if (mark !== null) drawDay(pen, mark, daysAt + place * (size + 1), top + 0.5, size);
    });
    row.counts.forEach((text, place) => {
      pen.setOne(text, countsAt + place * countWidth, top + 2, { sizePt: 7.4, bold: false, align: "right", widthPt: countWidth - 3 });
    });
    pen.artifact(() => pen.rule(top + rowHeight - 0.6, 0.25, hairline));
    pen.y += rowHeight;
  }
  if (isEmpty) {
    const style = { sizePt: 9, bold: false, colour: ink.quiet };
    await pen.need(style.sizePt * 2);
    pen.y += pen.set(pen.layOut(grid.empty, pen.width, style), pen.left, pen.y, style);
  }
  pen.y += 9;
};
