// The plain blocks: headings, paragraphs, facts, the badge, the course, signatures, blanks.
import type { Badge, Blanks, Course, Facts, Heading, Paragraph, Signatures } from "./document.ts";
import { type Element, hairline, ink, lineHeightPt, type Pen, tint } from "./pen.ts";
import { drawTone } from "./shapes.ts";

const headingStyles = {
  1: { sizePt: 17, bold: true, before: 2, after: 2 },
  2: { sizePt: 11.5, bold: true, before: 8, after: 4 },
  3: { sizePt: 9.5, bold: true, before: 5, after: 2 },
} as const;

/** A heading waits for what follows it, and is a bookmark where it is of level 1 or 2. */
export const drawHeading = (pen: Pen, block: Heading): void => {
  const style = headingStyles[block.level];
  const lines = pen.layOut(block.text, pen.width, style);
  const height = lines.length * lineHeightPt(style.sizePt);
  pen.hold(style.before + height + style.after, () => {
    if (!pen.isAtTop) pen.y += style.before;
    const top = pen.y;
    pen.leaf(`H${block.level}`, pen.root, () => pen.set(lines, pen.left, top, style));
    if (block.level < 3) {
      // The types do not know where on its page a bookmark leads.
      const options = { top } as Parameters<PDFKit.PDFOutline["addItem"]>[1];
      pen.doc.outline.addItem(block.text, options);
    }
    pen.y += height + style.after;
  });
};

export const drawParagraph = async (pen: Pen, block: Paragraph): Promise<void> => {
  const sizePt = { normal: 9, small: 7.8, lead: 10.5 }[block.size ?? "normal"];
  const tone = block.tone ?? "plain";
  const style = { sizePt, bold: block.bold ?? false, colour: ink[tone] };
  const indent = tone === "plain" || tone === "quiet" ? 0 : 13;
  const lines = pen.layOut(block.text, pen.width - indent, style);
  const perLine = lineHeightPt(sizePt);
  await pen.need(Math.min(2, lines.length) * perLine);
  const element = pen.tag("P", pen.root);
  for (let from = 0; from < lines.length; ) {
    await pen.need(Math.min(2, lines.length - from) * perLine);
    const count = Math.max(1, Math.floor(pen.room / perLine));
    const part = lines.slice(from, from + count);
    const isFirst = from === 0;
    pen.mark("P", element, () => {
      if (indent > 0 && isFirst) drawTone(pen, tone, pen.left, pen.y + perLine * 0.2, 8.5);
      pen.set(part, pen.left + indent, pen.y, style);
    });
    pen.y += part.length * perLine;
    from += count;
  }
  element.end();
  pen.y += 5;
};

const factStyle = {
  label: { sizePt: 8, bold: false },
  value: { sizePt: 9, bold: true },
};

/** Two rows of one line. */
const factsStartPt = 32;

export const drawFacts = async (pen: Pen, block: Facts): Promise<void> => {
  const gap = 16;
  const width = (pen.width - gap * (block.columns - 1)) / block.columns;
  const labelWidth = Math.min(120, width * 0.42);
  await pen.need(factsStartPt);
  const element = pen.tag("L", pen.root);
  for (let from = 0; from < block.rows.length; from += block.columns) {
    const row = block.rows.slice(from, from + block.columns).map((fact) => {
      const indent = fact.tone === undefined || fact.tone === "plain" ? 0 : 11;
      return {
        fact,
        indent,
        label: pen.layOut(fact.label, labelWidth - 6, factStyle.label),
        value: pen.layOut(fact.value, width - labelWidth - indent, factStyle.value),
      };
    });
    const height =
      Math.max(...row.map(({ label, value }) => Math.max(label.length * lineHeightPt(8) + 1, value.length * lineHeightPt(9)))) + 3;
    await pen.need(Math.min(height, pen.fullHeight));
    row.forEach(({ fact, indent, label, value }, column) => {
      const x = pen.left + column * (width + gap);
      const item = pen.tag("LI", element);
      pen.leaf("Lbl", item, () => pen.set(label, x, pen.y + 1, { ...factStyle.label, colour: ink.quiet }));
      pen.leaf("LBody", item, () => {
        if (indent > 0) drawTone(pen, fact.tone ?? "plain", x + labelWidth, pen.y + 2.2, 8);
        pen.set(value, x + labelWidth + indent, pen.y, {
          ...factStyle.value,
          colour: ink[fact.tone ?? "plain"],
        });
      });
      item.end();
      pen.artifact(() => {
        const y = pen.y + height - 1.5;
        pen.doc
          .lineWidth(0.3)
          .strokeColor(hairline)
          .moveTo(x, y)
          .lineTo(x + width, y)
          .stroke();
      });
    });
    pen.y += height;
  }
  element.end();
  pen.y += 7;
};

/** The box grows over pages with its reasons: none is ever left out. */
export const drawBadge = async (pen: Pen, block: Badge): Promise<void> => {
  const pad = 9;
  const textX = pen.left + 44;
  const width = pen.right - pad - textX;
  const title = { sizePt: 14, bold: true, colour: ink[block.tone] };
  const small = { sizePt: 8.4, bold: false, colour: ink.plain };
  const titleLines = pen.layOut(block.title, width, title);
  const noteLines = block.note === undefined ? [] : pen.layOut(block.note, width, small);
  const reasons = block.reasons.map((reason) => pen.layOut(reason, width - 10, { sizePt: 9, bold: false }));
  const headHeight = titleLines.length * lineHeightPt(14) + noteLines.length * lineHeightPt(8.4);
  const heights = reasons.map((lines) => lines.length * lineHeightPt(9));
  await pen.need(Math.min(headHeight + (heights[0] ?? 0) + 2 * pad + 10, pen.fullHeight));
  const sect = pen.tag("Sect", pen.root);
  let list: Element | null = null;
  let next = 0;
  for (let isFirst = true; isFirst || next < reasons.length; isFirst = false) {
    if (!isFirst) await pen.turnPage();
    const fits: number[] = [];
    let height = (isFirst ? headHeight : 0) + 2 * pad;
    for (let at = next; at < reasons.length; at += 1) {
      const more = heights[at] ?? 0;
      if (height + more > pen.room && (fits.length > 0 || isFirst)) break;
      fits.push(at);
      height += more;
    }
    const boxHeight = Math.min(Math.max(height, isFirst ? 44 : 0), Math.max(pen.room, 44));
    const top = pen.y;
    pen.artifact(() => {
      pen.doc.rect(pen.left, top, pen.width, boxHeight).fill(tint[block.tone]);
      pen.doc.rect(pen.left, top, 4, boxHeight).fill(ink[block.tone]);
    });
    let y = top + pad - 2;
    if (isFirst) {
      pen.leaf("P", sect, () => {
        drawTone(pen, block.tone, pen.left + 14, top + pad + 1, 21);
        y += pen.set(titleLines, textX, y, title);
        y += pen.set(noteLines, textX, y, small);
      });
      y += 2;
    } else y += 2;
    for (const at of fits) {
      const lines = reasons[at];
      if (lines === undefined) continue;
      // Made after the title, so that the title is read aloud first.
      list ??= pen.tag("L", sect);
      const item = pen.tag("LI", list);
      pen.artifact(() => pen.doc.rect(textX, y + 5, 3.4, 3.4).fill(ink[block.tone]));
      pen.leaf("LBody", item, () => pen.set(lines, textX + 10, y, { sizePt: 9, bold: false }));
      item.end();
      y += heights[at] ?? 0;
    }
    next += fits.length;
    pen.y += boxHeight + 9;
  }
  sect.end();
};

/** A step with a few details. */
const courseStartPt = 62;

export const drawCourse = async (pen: Pen, block: Course): Promise<void> => {
  const whenWidth = 96;
  const x = pen.left + whenWidth + 22;
  const width = pen.right - x;
  await pen.need(courseStartPt);
  const list = pen.tag("L", pen.root);
  for (const [index, step] of block.steps.entries()) {
    const titleStyle = { sizePt: 9, bold: true, colour: ink[step.tone] };
    const detailStyle = { sizePt: 8.4, bold: false, colour: ink.plain };
    const title = pen.layOut(step.title, width, titleStyle);
    const details = step.details.flatMap((detail) => pen.layOut(detail, width, detailStyle));
    const titleHeight = title.length * lineHeightPt(9);
    const perLine = lineHeightPt(8.4);
    await pen.need(Math.min(titleHeight + details.length * perLine + 6, 200));
    const item = pen.tag("LI", list);
    const top = pen.y;
    pen.leaf("Lbl", item, () =>
      pen.setOne(step.when, pen.left, top + 0.5, {
        sizePt: 8.4,
        bold: false,
        colour: ink.quiet,
        widthPt: whenWidth,
      }),
    );
    const bodyElement = pen.tag("LBody", item);
    pen.mark("LBody", bodyElement, () => {
      if (step.tone === "plain") pen.doc.circle(pen.left + whenWidth + 9, top + 6.5, 3).fill(ink.plain);
      else drawTone(pen, step.tone, pen.left + whenWidth + 4.5, top + 2, 9);
      pen.set(title, x, top, titleStyle);
    });
    pen.y += titleHeight;
    for (let from = 0; from < details.length; ) {
      await pen.need(perLine);
      const count = Math.max(1, Math.floor(pen.room / perLine));
      const part = details.slice(from, from + count);
      pen.mark("LBody", bodyElement, () => pen.set(part, x, pen.y, detailStyle));
      pen.y += part.length * perLine;
      from += count;
    }
    if (index < block.steps.length - 1 && pen.y > top) {
      const end = pen.y + 7;
      pen.artifact(() =>
        pen.doc
          .lineWidth(0.8)
          .strokeColor(hairline)
          .moveTo(pen.left + whenWidth + 9, top + 14)
          .lineTo(pen.left + whenWidth + 9, end)
          .stroke(),
      );
    }
    bodyElement.end();
    item.end();
    pen.y += 6;
  }
  list.end();
  pen.y += 4;
};

/** Statement and places to sign stay together on one page. */
const signatureRowPt = 22;
const signatureBoxPt = ({ boxes }: Signatures): number => Math.max(...boxes.map((box) => box.fields.length)) * signatureRowPt + 20;
const statementOf = (pen: Pen, { statement }: Signatures) => pen.layOut(statement, pen.width, { sizePt: 9, bold: false });

/** Statement and boxes are never parted. */
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
  await pen.need(heightOfSignatures(pen, block));
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

/** Boxes to write in; a value that is known is printed in its box. */
export const drawBlanks = async (pen: Pen, block: Blanks): Promise<void> => {
  const height = 27;
  // A few lines to write on stay together.
  await pen.need(block.rows.length * height + 2);
  for (const row of block.rows) {
    await pen.need(height + 2);
    const shares = row.reduce((sum, field) => sum + field.share, 0);
    let x = pen.left;
    for (const field of row) {
      const width = (field.share / shares) * pen.width;
      const at = x;
      pen.artifact(() => pen.doc.lineWidth(0.7).strokeColor(ink.quiet).rect(at, pen.y, width, height).stroke());
      pen.leaf("P", pen.root, () => {
        pen.setOne(field.label, at + 4, pen.y + 1.5, {
          sizePt: 6.8,
          bold: false,
          colour: ink.quiet,
          widthPt: width - 8,
        });
        if (field.value !== undefined)
          pen.setOne(field.value, at + 4, pen.y + 10.5, {
            sizePt: 10,
            bold: true,
            widthPt: width - 8,
          });
      });
      x += width;
    }
    pen.y += height;
  }
  pen.y += 6;
};
