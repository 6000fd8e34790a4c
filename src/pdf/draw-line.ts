// A line over time or distance with its limits; the figures are printed at both ends of the line and beside each limit.
import type { LineChart } from "./document.ts";
import { figure, titleStyle } from "./draw-chart.ts";
import { ink, type Pen } from "./pen.ts";

/** Where the points of a line stand on the page, in pt. */
interface Plot {
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
  readonly atX: (x: number) => number;
  readonly atY: (y: number) => number;
}

/** A text to the right of a plot, at the height of what it is about. */
interface SideLabel {
  readonly text: string;
  readonly colour: string;
  readonly bold: boolean;
  y: number;
}

const heightPt = 112;
const labelGapPt = 10;
const small = { sizePt: 7.6, bold: false, colour: ink.quiet };

function plotOf(pen: Pen, { points, limits }: LineChart): Plot {
  const [left, right, top, bottom] = [pen.left + 44, pen.right - 128, pen.y + 18, pen.y + heightPt - 16];
  const xs = points.map(({ x }) => x);
  const ys = [...points.map(({ y }) => y), ...limits.map(({ y }) => y)];
  const [low, high, xMin, xMax] = [Math.min(...ys), Math.max(...ys), Math.min(...xs), Math.max(...xs)];
  // A flat line would divide by nothing; a little air keeps marks off the edges.
  const air = (high - low || Math.abs(high) || 1) * 0.12;
  return {
    ...{ left, right, top, bottom },
    atX: (x) => (xMax === xMin ? (left + right) / 2 : left + 4 + ((x - xMin) / (xMax - xMin)) * (right - left - 8)),
    atY: (y) => bottom - ((y - low + air) / (high - low + 2 * air)) * (bottom - top),
  };
}

function drawAxes({ doc }: Pen, { left, right, top, bottom }: Plot): void {
  doc.lineWidth(0.6).strokeColor(ink.quiet).moveTo(left, top).lineTo(left, bottom).lineTo(right, bottom).stroke();
}

function drawLimits({ doc }: Pen, { limits }: LineChart, { left, right, atY }: Plot): SideLabel[] {
  return limits.map(({ y: value, text }) => {
    const y = atY(value);
    doc.save();
    doc.lineWidth(1).strokeColor(ink.bad).dash(4, { space: 2.5 }).moveTo(left, y).lineTo(right, y).stroke();
    doc.restore();
    return { y, text, colour: ink.bad, bold: false };
  });
}

/** The line itself, broken before each point that begins one of its own. */
function drawStretches({ doc }: Pen, { points }: LineChart, { atX, atY }: Plot): void {
  points.forEach((point, index) => {
    const next = points[index + 1];
    if (next === undefined || next.mark !== undefined) return;
    doc.lineWidth(1.2).strokeColor(ink.plain).moveTo(atX(point.x), atY(point.y)).lineTo(atX(next.x), atY(next.y)).stroke();
  });
}

/** Each point; one that begins a line of its own says why at the top of the plot. */
function drawPoints(pen: Pen, { points }: LineChart, { left, right, top, bottom, atX, atY }: Plot): void {
  const { doc } = pen;
  for (const point of points) {
    const x = atX(point.x);
    if (point.mark === undefined) {
      doc.circle(x, atY(point.y), 2.1).fill(ink.plain);
      continue;
    }
    doc.save();
    doc.lineWidth(0.7).strokeColor(ink.good).dash(1.5, { space: 1.5 }).moveTo(x, top).lineTo(x, bottom).stroke();
    doc.restore();
    doc.lineWidth(1.2).strokeColor(ink.plain).circle(x, atY(point.y), 2.6).fillAndStroke("#ffffff", ink.plain);
    const isLate = x > (left + right) / 2;
    const at = { sizePt: 7.2, bold: false, colour: ink.good, widthPt: 60, align: isLate ? ("right" as const) : ("left" as const) };
    pen.setOne(point.mark, isLate ? x - 63 : x + 3, top - 7, at);
  }
}

/** Labels the first and the last point; returns the label of the last one, which is drawn at the right. */
function drawEnds(pen: Pen, { points }: LineChart, { left, right, bottom, atY }: Plot): SideLabel[] {
  const [first, last] = [points[0], points.at(-1)];
  if (first === undefined || last === undefined) return [];
  pen.setOne(first.yText, pen.left, atY(first.y) - 6, { ...small, widthPt: 40, align: "right" });
  pen.setOne(first.xText, left, bottom + 2, { ...small, widthPt: 120 });
  if (points.length === 1) return [];
  pen.setOne(last.xText, right - 130, bottom + 2, { ...small, widthPt: 130, align: "right" });
  return [{ y: atY(last.y), text: last.yText, colour: ink.plain, bold: true }];
}

/** Draws the labels without overlap: those at the same height are moved down, and up again at the foot of the plot. */
function drawSideLabels(pen: Pen, labels: SideLabel[], { right, bottom }: Plot): void {
  labels.sort((one, other) => one.y - other.y);
  labels.forEach((one, index) => {
    const above = labels[index - 1];
    if (above !== undefined) one.y = Math.max(one.y, above.y + labelGapPt);
  });
  [...labels].reverse().forEach((one, index) => {
    one.y = Math.min(one.y, bottom + 4 - index * labelGapPt);
    pen.setOne(one.text, right + 6, one.y - 6, { sizePt: 7.6, bold: one.bold, colour: one.colour, widthPt: 120 });
  });
}

export const drawLine = async (pen: Pen, chart: LineChart): Promise<void> => {
  await pen.need(heightPt + 8);
  const element = figure(pen, chart.alt, heightPt);
  const plot = plotOf(pen, chart);
  pen.mark("Figure", element, () => {
    pen.setOne(chart.title, pen.left, pen.y, { ...titleStyle, widthPt: pen.width });
    drawAxes(pen, plot);
    const labels = drawLimits(pen, chart, plot);
    drawStretches(pen, chart, plot);
    drawPoints(pen, chart, plot);
    labels.push(...drawEnds(pen, chart, plot));
    drawSideLabels(pen, labels, plot);
  });
  element.end();
  pen.y += heightPt + pen.gap(8);
};
