// The shapes and grounds that go with each tone, so that colour is never the only sign.
import type { DayMark, Tone } from "./document.ts";
import { ink, type Pen, tint } from "./pen.ts";

const octagon = (x: number, y: number, size: number): [number, number][] => {
  const cut = size * 0.29;
  return [
    [x + cut, y],
    [x + size - cut, y],
    [x + size, y + cut],
    [x + size, y + size - cut],
    [x + size - cut, y + size],
    [x + cut, y + size],
    [x, y + size - cut],
    [x, y + cut],
  ];
};

/** Draws a tone's shape in a square of `size` points: bad an octagon with a bar, warn a triangle, good a tick in a ring, quiet a ring. */
export const drawTone = (pen: Pen, tone: Tone, x: number, y: number, size: number): void =>
  pen.stamp(`tone ${tone} ${size}`, x, y, () => toneAt(pen, tone, 0, 0, size));

const toneAt = (pen: Pen, tone: Tone, x: number, y: number, size: number): void => {
  const { doc } = pen;
  doc.save();
  switch (tone) {
    case "bad":
      doc.polygon(...octagon(x, y, size)).fill(ink.bad);
      doc.rect(x + size * 0.22, y + size * 0.41, size * 0.56, size * 0.18).fill("#ffffff");
      break;
    case "warn":
      doc.polygon([x + size / 2, y], [x + size, y + size * 0.94], [x, y + size * 0.94]).fill(ink.warn);
      doc.rect(x + size * 0.44, y + size * 0.34, size * 0.12, size * 0.28).fill("#ffffff");
      doc.rect(x + size * 0.44, y + size * 0.7, size * 0.12, size * 0.12).fill("#ffffff");
      break;
    case "good":
      doc.lineWidth(size * 0.11).strokeColor(ink.good);
      doc.circle(x + size / 2, y + size / 2, size * 0.45).stroke();
      doc
        .moveTo(x + size * 0.27, y + size * 0.52)
        .lineTo(x + size * 0.44, y + size * 0.69)
        .lineTo(x + size * 0.74, y + size * 0.34)
        .stroke();
      break;
    case "quiet":
      doc.lineWidth(size * 0.11).strokeColor(ink.quiet);
      doc.circle(x + size / 2, y + size / 2, size * 0.42).stroke();
      break;
    case "plain":
      break;
  }
  doc.restore();
};

/** Fills a bar so that the tones differ in grey as well: solid, hatched, light, empty. A second part of one tone is hatched the other way. */
export const fillTone = (pen: Pen, tone: Tone, x: number, y: number, width: number, height: number, isSecond = false): void => {
  const { doc } = pen;
  if (width <= 0) return;
  const ground: Record<Tone, string> = {
    bad: ink.bad,
    warn: "#f0d9a6",
    good: "#d5e8db",
    quiet: "#ffffff",
    plain: "#69727c",
  };
  doc.save();
  doc.rect(x, y, width, height).fill(ground[tone]);
  if (tone === "warn") {
    doc.rect(x, y, width, height).clip();
    doc.lineWidth(0.7).strokeColor(ink.warn);
    for (let at = x - height; at < x + width; at += isSecond ? 7 : 4)
      doc.moveTo(at, isSecond ? y : y + height).lineTo(at + height, isSecond ? y + height : y);
    doc.stroke();
  }
  doc.restore();
  doc
    .lineWidth(0.6)
    .strokeColor(tone === "plain" ? "#4a525a" : ink[tone])
    .rect(x, y, width, height)
    .stroke();
};

/**
 * A day in a calendar: nil a tick, nothing new a tick beside a small octagon, defect a filled octagon, ridden a filled triangle in a frame, missing an empty box with a cross-line,
 * withdrawn a cross, outside a dot.
 */
export const drawDay = (pen: Pen, mark: DayMark, x: number, y: number, size: number): void =>
  pen.stamp(`day ${mark} ${size}`, x, y, () => dayAt(pen, mark, 0, 0, size));

const dayAt = (pen: Pen, mark: DayMark, x: number, y: number, size: number): void => {
  const { doc } = pen;
  doc.save();
  switch (mark) {
    case "nil":
      doc.rect(x, y, size, size).fill(tint.good);
      doc.lineWidth(1.1).strokeColor(ink.good);
      doc
        .moveTo(x + size * 0.22, y + size * 0.54)
        .lineTo(x + size * 0.42, y + size * 0.74)
        .lineTo(x + size * 0.8, y + size * 0.28)
        .stroke();
      break;
    case "nothing-new":
      doc.rect(x, y, size, size).fill(tint.warn);
      doc.lineWidth(1.1).strokeColor(ink.warn);
      doc
        .moveTo(x + size * 0.12, y + size * 0.58)
        .lineTo(x + size * 0.3, y + size * 0.76)
        .lineTo(x + size * 0.6, y + size * 0.36)
        .stroke();
      doc.polygon(...octagon(x + size * 0.6, y + size * 0.08, size * 0.34)).fill(ink.bad);
      break;
    case "defect":
      doc.rect(x, y, size, size).fill(tint.bad);
      doc.polygon(...octagon(x + size * 0.18, y + size * 0.18, size * 0.64)).fill(ink.bad);
      break;
    case "missing":
      doc.lineWidth(0.7).strokeColor(ink.quiet);
      doc
        .rect(x + 0.4, y + 0.4, size - 0.8, size - 0.8)
        .dash(1.6, { space: 1.2 })
        .stroke()
        .undash();
      doc
        .moveTo(x + size * 0.26, y + size * 0.5)
        .lineTo(x + size * 0.74, y + size * 0.5)
        .stroke();
      break;
    case "ridden":
      doc.lineWidth(0.9).strokeColor(ink.plain);
      doc.rect(x + 0.5, y + 0.5, size - 1, size - 1).stroke();
      doc.polygon([x + size / 2, y + size * 0.16], [x + size * 0.86, y + size * 0.82], [x + size * 0.14, y + size * 0.82]).fill(ink.plain);
      break;
    case "withdrawn":
      doc.lineWidth(0.7).strokeColor("#8a929a");
      doc.moveTo(x + size * 0.28, y + size * 0.28).lineTo(x + size * 0.72, y + size * 0.72);
      doc
        .moveTo(x + size * 0.72, y + size * 0.28)
        .lineTo(x + size * 0.28, y + size * 0.72)
        .stroke();
      break;
    case "outside":
      doc.circle(x + size / 2, y + size / 2, 0.8).fill("#aab1b8");
      break;
  }
  doc.restore();
};
