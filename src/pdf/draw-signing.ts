// What is filled in by hand: places to sign, and boxes to write in.
import type { Blanks, Signatures } from "./document.ts";
import { ink, lineHeightPt, type Pen } from "./pen.ts";

const signatureRowPt = 22;
const signatureBoxPt = ({ boxes }: Signatures): number => Math.max(...boxes.map((box) => box.fields.length)) * signatureRowPt + 20;
const statementOf = (pen: Pen, { statement }: Signatures) => pen.layOut(statement, pen.width, { sizePt: 9, bold: false });

/** Statement and places to sign stay together on one page. */
export const heightOfSignatures = (pen: Pen, block: Signatures): number => {
  const rows = Math.ceil(block.boxes.length / 2);
  return statementOf(pen, block).length * lineHeightPt(9) + 8 + rows * (signatureBoxPt(block) + 8);
};

export const drawSignatures = async (pen: Pen, block: Signatures): Promise<void> => {
  const gap = 14;
  const perRow = Math.min(2, block.boxes.length);
  const width = (pen.width - gap * (perRow - 1)) / perRow;
  const statement = statementOf(pen, block);
  const rowHeight = signatureRowPt;
  const boxHeight = signatureBoxPt(block);
  const rows = Math.ceil(block.boxes.length / perRow);
  await pen.needLast(heightOfSignatures(pen, block));
  if (statement.length > 0) pen.leaf("P", pen.root, () => pen.set(statement, pen.left, pen.y, { sizePt: 9, bold: false }));
  pen.y += statement.length * lineHeightPt(9) + 6;
  block.boxes.forEach((box, index) => {
    const x = pen.left + (index % perRow) * (width + gap);
    const top = pen.y + Math.floor(index / perRow) * (boxHeight + 8);
    const sect = pen.tag("Sect", pen.root);
    pen.artifact(() => pen.doc.lineWidth(0.7).strokeColor(ink.quiet).rect(x, top, width, boxHeight).stroke());
    pen.leaf("P", sect, () =>
      pen.setOne(box.title, x + 7, top + 4, {
        sizePt: 8.6,
        bold: true,
        widthPt: width - 14,
      }),
    );
    box.fields.forEach((field, at) => {
      const y = top + 18 + at * rowHeight;
      pen.leaf("P", sect, () => {
        pen.setOne(field.label, x + 7, y + 8, {
          sizePt: 7.6,
          bold: false,
          colour: ink.quiet,
          widthPt: 66,
        });
        if (field.value !== undefined)
          pen.setOne(field.value, x + 76, y + 6.6, {
            sizePt: 9,
            bold: false,
            widthPt: width - 84,
          });
      });
      pen.artifact(() =>
        pen.doc
          .lineWidth(0.5)
          .strokeColor(ink.quiet)
          .moveTo(x + 76, y + 20)
          .lineTo(x + width - 7, y + 20)
          .stroke(),
      );
    });
    sect.end();
  });
  pen.y += rows * (boxHeight + 8) + 2;
};

const blankPt = 27;
const blankValueTop = 10.5;
/** A long name takes smaller letters and as many lines as it needs. */
const blankValues = [
  { sizePt: 10, bold: true },
  { sizePt: 8, bold: true },
];

const setBlanks = (pen: Pen, { rows }: Blanks) =>
  rows.map((row) => {
    const shares = row.reduce((sum, field) => sum + field.share, 0);
    const fields = row.map(({ label, share, value = "" }) => {
      const width = (share / shares) * pen.width;
      const set = blankValues.map((style) => ({ style, lines: pen.layOut(value, width - 8, style) }));
      const chosen = set.find(({ lines }) => lines.length === 1) ?? set.at(-1);
      return { label, width, ...(chosen ?? { style: { sizePt: 8, bold: true }, lines: [] }) };
    });
    const heightPt = Math.max(blankPt, ...fields.map(({ style, lines }) => blankValueTop + lines.length * lineHeightPt(style.sizePt) + 2));
    return { fields, heightPt };
  });

/** A few lines to write on stay together. */
export const heightOfBlanks = (pen: Pen, block: Blanks): number =>
  setBlanks(pen, block).reduce((sum, { heightPt }) => sum + heightPt, 0) + pen.gap(6);

/** Boxes to write in; a value that is known is printed in its box. */
export const drawBlanks = async (pen: Pen, block: Blanks): Promise<void> => {
  await pen.needLast(heightOfBlanks(pen, block));
  for (const { fields, heightPt } of setBlanks(pen, block)) {
    let x = pen.left;
    for (const { label, width, style, lines } of fields) {
      const at = x;
      pen.artifact(() => pen.doc.lineWidth(0.7).strokeColor(ink.quiet).rect(at, pen.y, width, heightPt).stroke());
      pen.leaf("P", pen.root, () => {
        pen.setOne(label, at + 4, pen.y + 1.5, { sizePt: 6.8, bold: false, colour: ink.quiet, widthPt: width - 8 });
        pen.set(lines, at + 4, pen.y + blankValueTop, style);
      });
      x += width;
    }
    pen.y += heightPt;
  }
  pen.y += pen.gap(6);
};
