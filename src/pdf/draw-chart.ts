// Small charts. Each is one figure with a text that says the same; every number it shows also stands beside it in words or a table.
import type { BarChart, DayStrip, ShareBar } from "./document.ts";
import { setFitted } from "./fit-text.ts";
import { type Element, hairline, ink, lineHeightPt, type Pen } from "./pen.ts";
import { drawDay, fillTone } from "./shapes.ts";

export const label = { sizePt: 8, bold: false };
export const titleStyle = { sizePt: 8.6, bold: true };

export const figure = (pen: Pen, alt: string, height: number): Element =>
  pen.tag("Figure", pen.root, {
    alt,
    bbox: [pen.left, pen.y, pen.right, pen.y + height],
  });

const legendHeight = 13;
/** Entries side by side, in as many rows as they need. Returns the height; draws only if `isDrawn`. */
export const legend = (
  pen: Pen,
  top: number,
  entries: readonly {
    readonly text: string;
    readonly draw: (x: number, y: number) => void;
  }[],
  isDrawn: boolean,
): number => {
  let x = pen.left;
  let row = 0;
  for (const entry of entries) {
    const lines = pen.layOut(entry.text, pen.width - 30, label);
    const width = (lines[0]?.widthPt ?? 0) + 14;
    if (x + width > pen.right && x > pen.left) {
      x = pen.left;
      row += 1;
    }
    if (isDrawn) {
      entry.draw(x, top + row * legendHeight + 2);
      pen.set(lines.slice(0, 1), x + 13, top + row * legendHeight, label);
    }
    x += width + 14;
  }
  return entries.length === 0 ? 0 : (row + 1) * legendHeight;
};

/** When a chart is split over two pages, at least this many bars go on the next page. */
const fewestBars = 3;

/** May take several pages: each page has a figure of its own with the same alternative text. */
export const drawBars = async (pen: Pen, chart: BarChart): Promise<void> => {
  const rowHeight = 15;
  const labelWidth = pen.width * 0.36;
  const numberWidth = 34;
  const track = pen.width - labelWidth - numberWidth;
  const totals = chart.bars.map((bar) => bar.parts.reduce((sum, part) => sum + part.value, 0));
  const most = Math.max(1, ...totals);
  const entries = chart.legend.map(({ tone, text }) => ({
    text,
    draw: (x: number, y: number) => fillTone(pen, tone, x, y, 9, 8),
  }));
  const legendSpace = legend(pen, 0, entries, false);
  await pen.need(Math.min(16 + legendSpace + chart.bars.length * rowHeight + 6, 16 + legendSpace + 8 * rowHeight));
  for (let from = 0; from < chart.bars.length; ) {
    const headSpace = from === 0 ? 16 + legendSpace : 4;
    const fitting = Math.floor((pen.room - headSpace) / rowHeight);
    const left = chart.bars.length - from;
    const count = Math.max(1, fitting >= left ? left : Math.min(fitting, left - fewestBars));
    const bars = chart.bars.slice(from, from + count);
    const height = headSpace + bars.length * rowHeight;
    const element = figure(pen, chart.alt, height);
    const start = from;
    pen.mark("Figure", element, () => {
      let y = pen.y;
      if (start === 0) {
        pen.setOne(chart.title, pen.left, y, {
          ...titleStyle,
          widthPt: pen.width,
        });
        legend(pen, y + 15, entries, true);
      }
      y += headSpace;
      bars.forEach((bar, index) => {
        const total = totals[start + index] ?? 0;
        setFitted(pen, bar.label, pen.left, y, { ...label, widthPt: labelWidth - 8, heightPt: rowHeight - 1 });
        let x = pen.left + labelWidth;
        for (const part of bar.parts) {
          const width = (part.value / most) * track;
          fillTone(pen, part.tone, x, y + 2, width, rowHeight - 5);
          x += width;
        }
        pen.setOne(String(total), x + 5, y + 1, {
          sizePt: 8,
          bold: true,
          widthPt: numberWidth - 6,
        });
        y += rowHeight;
      });
      pen.doc.lineWidth(0.6).strokeColor(ink.quiet);
      pen.doc
        .moveTo(pen.left + labelWidth, pen.y + headSpace)
        .lineTo(pen.left + labelWidth, y)
        .stroke();
    });
    element.end();
    pen.y += height;
    from += bars.length;
    if (from < chart.bars.length) await pen.turnPage();
  }
  pen.y += pen.gap(10);
};

export const drawShareBar = async (pen: Pen, chart: ShareBar): Promise<void> => {
  const total = chart.parts.reduce((sum, part) => sum + part.value, 0);
  const isSecond = chart.parts.map((part, index) => chart.parts.findIndex((other) => other.tone === part.tone) < index);
  const entries = chart.parts.map((part, index) => ({
    text: `${part.label} ${part.value}`,
    draw: (x: number, y: number) => fillTone(pen, part.tone, x, y, 9, 8, isSecond[index]),
  }));
  const height = 16 + 22 + 4 + legend(pen, 0, entries, false);
  await pen.need(height);
  const element = figure(pen, chart.alt, height);
  pen.mark("Figure", element, () => {
    pen.setOne(chart.title, pen.left, pen.y, {
      ...titleStyle,
      widthPt: pen.width,
    });
    const y = pen.y + 16;
    let x = pen.left;
    for (const [index, part] of chart.parts.entries()) {
      const width = total === 0 ? 0 : (part.value / total) * pen.width;
      fillTone(pen, part.tone, x, y, width, 18, isSecond[index]);
      const text = String(part.value);
      const lines = pen.layOut(text, 60, { sizePt: 8.5, bold: true });
      const textWidth = lines[0]?.widthPt ?? 0;
      // On hatching the number is only legible on a patch of plain paper.
      if (width > textWidth + 10) {
        const middle = x + width / 2;
        pen.doc.rect(middle - textWidth / 2 - 3, y + 3, textWidth + 6, 12).fill("#ffffff");
        pen.set(lines, middle - textWidth / 2, y + 3, {
          sizePt: 8.5,
          bold: true,
        });
      }
      x += width;
    }
    if (total === 0) pen.doc.lineWidth(0.6).strokeColor(ink.quiet).rect(pen.left, y, pen.width, 18).stroke();
    legend(pen, y + 23, entries, true);
  });
  element.end();
  pen.y += height + pen.gap(8);
};

/** Long calendars go on over pages; the legend stands at the head of the first. */
export const drawDays = async (pen: Pen, strip: DayStrip): Promise<void> => {
  const labelWidth = 74;
  const places = Math.max(1, ...strip.rows.map((row) => row.days.length));
  const size = Math.min(15, (pen.width - labelWidth) / places - 1);
  const rowHeight = size + 3;
  const entries = strip.legend.map(({ mark, text }) => ({
    text,
    draw: (x: number, y: number) => drawDay(pen, mark, x, y - 1, 10),
  }));
  const headSpace = 17 + legend(pen, 0, entries, false) + 12;
  await pen.need(headSpace + Math.min(strip.rows.length, 4) * rowHeight);
  for (let from = 0; from < strip.rows.length; ) {
    const space = from === 0 ? headSpace : 0;
    const rows = strip.rows.slice(from, from + Math.max(1, Math.floor((pen.room - space) / rowHeight)));
    const height = space + rows.length * rowHeight;
    const element = figure(pen, strip.alt, height);
    const isFirst = from === 0;
    pen.mark("Figure", element, () => {
      if (isFirst) {
        pen.setOne(strip.title, pen.left, pen.y, {
          ...titleStyle,
          widthPt: pen.width,
        });
        legend(pen, pen.y + 16, entries, true);
        strip.heads.forEach((head, place) => {
          const x = pen.left + labelWidth + place * (size + 1);
          pen.setOne(head, x, pen.y + space - 10, { sizePt: 6.2, bold: false, colour: ink.quiet, align: "centre", widthPt: size });
        });
      }
      rows.forEach((row, index) => {
        const y = pen.y + space + index * rowHeight;
        pen.setOne(row.label, pen.left, y + (size - lineHeightPt(7.6)) / 2, {
          sizePt: 7.6,
          bold: false,
          colour: ink.quiet,
          widthPt: labelWidth - 6,
        });
        row.days.forEach((day, place) => {
          if (day === null) return;
          drawDay(pen, day, pen.left + labelWidth + place * (size + 1), y, size);
        });
      });
    });
    element.end();
    pen.artifact(() =>
      pen.doc
        .lineWidth(0.3)
        .strokeColor(hairline)
        .moveTo(pen.left, pen.y + height + 1)
        .lineTo(pen.right, pen.y + height + 1)
        .stroke(),
    );
    pen.y += height;
    from += rows.length;
    if (from < strip.rows.length) await pen.turnPage();
  }
  pen.y += pen.gap(9);
};
