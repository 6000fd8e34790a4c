// The rows of a blank check sheet: boxes to tick and to write in, tight enough for two pages, large enough for a gloved hand with a pen.
import type { CheckRows } from "./document.ts";
import { hairline, ink, lineHeightPt, type Pen, tint } from "./pen.ts";

const box = 9;
const boxPitch = 34;
const prompt = { sizePt: 8.6, bold: true };
const how = { sizePt: 7, bold: false, colour: ink.quiet };
const seen = { sizePt: 7, bold: false };
const stationHeight = 15;

type SheetItem = CheckRows["items"][number];

const readingWidth = 64;

/** What may be seen, one after another: `[mark] text`, wrapped as one paragraph so that none of it is lost. */
const observationText = (item: SheetItem): string =>
  item.observations
    .map((observation) => `${observation.text.replaceAll(" ", "\u00a0").slice(0, 200)}\u00a0[${observation.mark}]`)
    .join("   ");

const setItem = (pen: Pen, item: SheetItem) => {
  const boxes = 3 * boxPitch;
  const width = pen.width - boxes - (item.readings.length > 0 ? readingWidth * Math.min(2, item.readings.length) : 0) - 8;
  const promptLines = pen.layOut(item.prompt, width, prompt);
  const howLines = item.how === undefined ? [] : pen.layOut(item.how, width, how);
  const seenLines = item.observations.length === 0 ? [] : pen.layOut(observationText(item), width, seen);
  const limitLines = item.limit === undefined ? [] : pen.layOut(item.limit, width, seen);
  const text =
    promptLines.length * lineHeightPt(prompt.sizePt) + (howLines.length + seenLines.length + limitLines.length) * lineHeightPt(seen.sizePt);
  const readingRows = Math.ceil(item.readings.length / 2);
  return {
    width,
    promptLines,
    howLines,
    seenLines,
    limitLines,
    height: Math.max(text, readingRows * 24, box + 4) + 5,
  };
};

export const drawCheckRows = async (pen: Pen, block: CheckRows): Promise<void> => {
  const drawStation = () => {
    pen.artifact(() => pen.doc.rect(pen.left, pen.y, pen.width, stationHeight).fill(tint.plain));
    pen.leaf("H3", pen.root, () =>
      pen.setOne(block.station, pen.left + 4, pen.y + 1, {
        sizePt: 9,
        bold: true,
        widthPt: pen.width - 3 * boxPitch - 10,
      }),
    );
    pen.artifact(() => {
      block.boxes.forEach((text, index) => {
        const x = pen.right - (3 - index) * boxPitch;
        pen.setOne(text, x, pen.y + 2.5, {
          sizePt: 7,
          bold: true,
          colour: ink.quiet,
          align: "centre",
          widthPt: boxPitch,
        });
      });
    });
    pen.y += stationHeight;
  };
  const items = block.items.map((item) => ({ item, laid: setItem(pen, item) }));
  await pen.need(stationHeight + (items[0]?.laid.height ?? 0));
  drawStation();
  for (const [index, { item, laid }] of items.entries()) {
    if (await (index === items.length - 1 ? pen.needLast(laid.height) : pen.need(laid.height))) drawStation();
    const top = pen.y + 2;
    pen.leaf("P", pen.root, () => {
      let y = top;
      y += pen.set(laid.promptLines, pen.left + 4, y, prompt);
      y += pen.set(laid.howLines, pen.left + 4, y, how);
      y += pen.set(laid.seenLines, pen.left + 4, y, seen);
      pen.set(laid.limitLines, pen.left + 4, y, seen);
    });
    item.readings.forEach((reading, index) => {
      const columns = Math.min(2, item.readings.length);
      const x = pen.right - 3 * boxPitch - readingWidth * (columns - (index % 2));
      const y = top + Math.floor(index / 2) * 24;
      pen.artifact(() =>
        pen.doc
          .lineWidth(0.6)
          .strokeColor(ink.quiet)
          .rect(x, y, readingWidth - 6, 21)
          .stroke(),
      );
      pen.leaf("P", pen.root, () => {
        pen.setOne(reading.label, x + 2.5, y, {
          sizePt: 6.2,
          bold: false,
          colour: ink.quiet,
          widthPt: readingWidth - 12,
        });
        pen.setOne(reading.unit, x + 2.5, y + 10, {
          sizePt: 7,
          bold: false,
          colour: ink.quiet,
          widthPt: readingWidth - 12,
          align: "right",
        });
      });
    });
    pen.artifact(() => {
      for (let index = 0; index < (item.mayNotApply ? 3 : 2); index += 1) {
        const x = pen.right - (3 - index) * boxPitch + (boxPitch - box) / 2;
        pen.doc
          .lineWidth(0.8)
          .strokeColor(ink.plain)
          .rect(x, top + 1, box, box)
          .stroke();
      }
      const y = pen.y + laid.height;
      pen.doc.lineWidth(0.3).strokeColor(hairline).moveTo(pen.left, y).lineTo(pen.right, y).stroke();
    });
    pen.y += laid.height;
  }
  pen.y += pen.gap(3);
};
