// Charts that show uncertainty: control charts with their limits, values with their intervals, survival in steps.
import type { ControlChart, IntervalPlot, StepChart } from "./document.ts";
import { figure, label, legend, titleStyle } from "./draw-chart.ts";
import { setFitted } from "./fit-text.ts";
import { hairline, ink, lineHeightPt, type Pen, tint } from "./pen.ts";
import { drawTone } from "./shapes.ts";

const small = { sizePt: 7.6, bold: false, colour: ink.quiet };
const titleHeight = 16;

/** Hairlines across a plot at the places of its scale, with their texts to the left. */
const drawScale = (
  pen: Pen,
  plot: { left: number; right: number },
  marks: readonly { readonly at: number; readonly text: string }[],
): void => {
  for (const { at, text } of marks) {
    pen.doc.lineWidth(0.4).strokeColor(hairline).moveTo(plot.left, at).lineTo(plot.right, at).stroke();
    pen.setOne(text, pen.left, at - lineHeightPt(small.sizePt) / 2, { ...small, widthPt: plot.left - pen.left - 5, align: "right" });
  }
};

/** Which of the labels under an axis are drawn: as many as fit, the first and the last among them. */
const spread = (count: number, most: number): number[] => {
  if (count <= 1) return count === 1 ? [0] : [];
  const shown = Math.min(count, most);
  return Array.from({ length: shown }, (_, index) => Math.round((index * (count - 1)) / (shown - 1)));
};

export const drawControl = async (pen: Pen, chart: ControlChart): Promise<void> => {
  const plotHeight = 132;
  const entries = [
    { text: chart.legend.inside, draw: (x: number, y: number) => void pen.doc.circle(x + 4.5, y + 4, 2.1).fill(ink.plain) },
    { text: chart.legend.outside, draw: (x: number, y: number) => drawTone(pen, "bad", x, y, 8) },
    {
      text: chart.legend.limits,
      draw: (x: number, y: number) =>
        void pen.doc
          .lineWidth(0.9)
          .strokeColor(ink.quiet)
          .dash(2.5, { space: 1.6 })
          .moveTo(x, y + 4)
          .lineTo(x + 10, y + 4)
          .stroke()
          .undash(),
    },
  ];
  const legendSpace = legend(pen, 0, entries, false);
  const height = titleHeight + legendSpace + plotHeight + 22;
  await pen.need(height + 8);
  const element = figure(pen, chart.alt, height);
  const plot = { left: pen.left + 40, right: pen.right - 96, top: pen.y + titleHeight + legendSpace + 8, bottom: pen.y + height - 14 };
  const most = chart.axis.at(-1)?.y ?? 1;
  const atY = (y: number): number => plot.bottom - (Math.min(y, most) / most) * (plot.bottom - plot.top);
  const step = (plot.right - plot.left) / Math.max(1, chart.points.length);
  const atX = (index: number): number => plot.left + (index + 0.5) * step;
  pen.mark("Figure", element, () => {
    const { doc } = pen;
    pen.setOne(chart.title, pen.left, pen.y, { ...titleStyle, widthPt: pen.width });
    legend(pen, pen.y + titleHeight, entries, true);
    drawScale(
      pen,
      plot,
      chart.axis.map(({ y, text }) => ({ at: atY(y), text })),
    );
    // The limits go up and down with the size of each sample, so they are drawn as steps around it.
    const drawLimit = (limitOf: (point: ControlChart["points"][number]) => number): void => {
      doc
        .save()
        .rect(plot.left, plot.top - 6, plot.right - plot.left, plot.bottom - plot.top + 7)
        .clip();
      doc.lineWidth(0.9).strokeColor(ink.quiet).dash(2.5, { space: 1.6 });
      chart.points.forEach((point, index) => {
        const limit = limitOf(point);
        // A limit that leaves the plot at its top is not drawn along its edge, where it would look like one.
        const [x, y] = [plot.left + index * step, limit > most ? plot.top - 20 : atY(limit)];
        if (index === 0) doc.moveTo(x, y);
        else doc.lineTo(x, y);
        doc.lineTo(x + step, y);
      });
      doc.stroke().restore();
    };
    drawLimit(({ high }) => high);
    drawLimit(({ low }) => low);
    doc.lineWidth(0.8).strokeColor(ink.good).moveTo(plot.left, atY(chart.centre.y)).lineTo(plot.right, atY(chart.centre.y)).stroke();
    const textTop = atY(chart.centre.y) - lineHeightPt(small.sizePt) / 2;
    const centreLines = pen.layOut(chart.centre.text, pen.right - plot.right - 6, small);
    pen.set(centreLines, plot.right + 6, textTop, { ...small, colour: ink.good });
    doc.lineWidth(0.7).strokeColor(ink.plain);
    for (const [index, { y }] of chart.points.entries()) {
      if (index === 0) doc.moveTo(atX(index), atY(y));
      else doc.lineTo(atX(index), atY(y));
    }
    if (chart.points.length > 1) doc.stroke();
    chart.points.forEach(({ y, isOutside, xText }, index) => {
      if (!isOutside) doc.circle(atX(index), atY(y), 2.1).fill(ink.plain);
      else {
        drawTone(pen, "bad", atX(index) - 4, atY(y) - 4, 8);
        pen.setOne(xText, atX(index) - 40, atY(y) - 15, { ...small, colour: ink.bad, bold: true, widthPt: 80, align: "centre" });
      }
    });
    for (const index of spread(chart.points.length, 8)) {
      pen.setOne(chart.points[index]?.xText ?? "", atX(index) - 30, plot.bottom + 3, { ...small, widthPt: 60, align: "centre" });
    }
  });
  element.end();
  pen.y += height + pen.gap(8);
};

/** A group stands together; a long one goes on over pages. */
export const drawIntervals = async (pen: Pen, chart: IntervalPlot): Promise<void> => {
  const rowHeight = 14.5;
  const plot = { left: pen.left + pen.width * 0.34, right: pen.right - 142 };
  const most = chart.axis.at(-1)?.x ?? 1;
  const atX = (x: number): number => plot.left + (Math.min(x, most) / most) * (plot.right - plot.left);
  let isFirst = true;
  for (const { title, rows } of chart.groups) {
    for (let from = 0; from < rows.length; ) {
      const head = (isFirst ? titleHeight : 0) + rowHeight;
      const foot = 15;
      const whole = head + (rows.length - from) * rowHeight + foot;
      await pen.need(whole <= pen.fullHeight / 2 ? whole : head + 4 * rowHeight + foot);
      const part = rows.slice(from, from + Math.max(1, Math.floor((pen.room - head - foot) / rowHeight)));
      const height = head + part.length * rowHeight + foot;
      const element = figure(pen, chart.alt, height);
      const withTitle = isFirst;
      pen.mark("Figure", element, () => {
        const { doc } = pen;
        if (withTitle) pen.setOne(chart.title, pen.left, pen.y, { ...titleStyle, widthPt: pen.width });
        const top = pen.y + head;
        const bottom = top + part.length * rowHeight;
        pen.setOne(title, pen.left, top - rowHeight + 1, { ...label, bold: true, colour: ink.quiet, widthPt: pen.width });
        for (const { x, text } of chart.axis) {
          doc.lineWidth(0.4).strokeColor(hairline).moveTo(atX(x), top).lineTo(atX(x), bottom).stroke();
          pen.setOne(text, atX(x) - 25, bottom + 1, { ...small, widthPt: 50, align: "centre" });
        }
        part.forEach((row, index) => {
          const y = top + (index + 0.5) * rowHeight;
          setFitted(pen, row.label, pen.left, y - rowHeight / 2, { ...label, widthPt: plot.left - pen.left - 8, heightPt: rowHeight });
          setFitted(pen, row.text, plot.right + 8, y - rowHeight / 2, {
            ...label,
            widthPt: pen.right - plot.right - 8,
            heightPt: rowHeight,
          });
          if (row.value === null) return;
          doc.lineWidth(1.1).strokeColor(ink.plain).moveTo(atX(row.low), y).lineTo(atX(row.high), y);
          doc.moveTo(atX(row.low), y - 3).lineTo(atX(row.low), y + 3);
          if (row.high <= most) doc.moveTo(atX(row.high), y - 3).lineTo(atX(row.high), y + 3);
          else
            doc
              .moveTo(plot.right - 4, y - 3)
              .lineTo(plot.right, y)
              .lineTo(plot.right - 4, y + 3);
          doc.stroke();
          doc.circle(atX(row.value), y, 2.8).fill(ink.plain);
        });
      });
      element.end();
      pen.y += height + 2;
      from += part.length;
      isFirst = false;
    }
  }
  pen.y += pen.gap(8);
};

export const drawSteps = async (pen: Pen, chart: StepChart): Promise<void> => {
  const height = titleHeight + 104 + 16;
  await pen.need(height + 8);
  const element = figure(pen, chart.alt, height);
  const plot = { left: pen.left + 40, right: pen.right - 20, top: pen.y + titleHeight + 4, bottom: pen.y + height - 14 };
  const most = chart.xAxis.at(-1)?.x ?? 1;
  const atX = (x: number): number => plot.left + (Math.min(x, most) / most) * (plot.right - plot.left);
  const atY = (y: number): number => plot.bottom - y * (plot.bottom - plot.top);
  pen.mark("Figure", element, () => {
    const { doc } = pen;
    pen.setOne(chart.title, pen.left, pen.y, { ...titleStyle, widthPt: pen.width });
    chart.steps.forEach(({ x, low, high }, index) => {
      const until = chart.steps[index + 1]?.x ?? chart.end;
      doc.rect(atX(x), atY(high), atX(until) - atX(x), atY(low) - atY(high)).fill(tint.quiet);
    });
    drawScale(
      pen,
      plot,
      chart.yAxis.map(({ y, text }) => ({ at: atY(y), text })),
    );
    doc.lineWidth(1.2).strokeColor(ink.plain).moveTo(plot.left, atY(1));
    let y = 1;
    for (const step of chart.steps) {
      doc.lineTo(atX(step.x), atY(y)).lineTo(atX(step.x), atY(step.y));
      y = step.y;
    }
    doc.lineTo(atX(chart.end), atY(y)).stroke();
    for (const { x, text } of chart.xAxis) pen.setOne(text, atX(x) - 35, plot.bottom + 3, { ...small, widthPt: 70, align: "centre" });
  });
  element.end();
  pen.y += height + pen.gap(8);
};
