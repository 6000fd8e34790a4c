// The plain blocks: headings, paragraphs, facts, the badge, the course.
import type { Badge, Course, Facts, Heading, Paragraph } from "./document.ts";
import { type Element, hairline, ink, lineHeightPt, type Pen, tint } from "./pen.ts";
import { drawTone } from "./shapes.ts";
import type { Line } from "./text-layout.ts";

const headingStyles = {
  1: { sizePt: 17, bold: true, before: 2, after: 2 },
  2: { sizePt: 11.5, bold: true, before: 8, after: 4 },
  3: { sizePt: 9.5, bold: true, before: 5, after: 2 },
} as const;

const setHeading = (pen: Pen, { level, text }: Heading) => {
  const style = headingStyles[level];
  const lines = pen.layOut(text, pen.width, style);
  return { style, lines, before: pen.gap(style.before), textPt: lines.length * lineHeightPt(style.sizePt), after: pen.gap(style.after) };
};

export const heightOfHeading = (pen: Pen, block: Heading): number => {
  const { before, textPt, after } = setHeading(pen, block);
  return before + textPt + after;
};

/** A heading waits for what follows it, and is a bookmark where it is of level 1 or 2. */
export const drawHeading = (pen: Pen, block: Heading): void => {
  const { style, lines, before, textPt, after } = setHeading(pen, block);
  pen.hold(before + textPt + after, () => {
    if (!pen.isAtTop) pen.y += before;
    const top = pen.y;
    pen.leaf(`H${block.level}`, pen.root, () => pen.set(lines, pen.left, top, style));
    if (block.level < 3) pen.bookmark(block.text, top);
    pen.y += textPt + after;
  });
};

export const drawParagraph = async (pen: Pen, block: Paragraph): Promise<void> => {
  const sizePt = { normal: 9, small: 7.8, lead: 10.5 }[block.size ?? "normal"];
  const tone = block.tone ?? "plain";
  const style = { sizePt, bold: block.bold ?? false, colour: ink[tone] };
  const indent = tone === "plain" || tone === "quiet" ? 0 : 13;
  const lines = pen.layOut(block.text, pen.width - indent, style);
  const perLine = lineHeightPt(sizePt);
  if (block.leads) {
    const height = lines.length * perLine + pen.gap(5);
    pen.hold(height, () => {
      pen.leaf("P", pen.root, () => {
        if (indent > 0) drawTone(pen, tone, pen.left, pen.y + perLine * 0.2, 8.5);
        pen.set(lines, pen.left + indent, pen.y, style);
      });
      pen.y += height;
    });
    return;
  }
  await needLines(pen, lines.length, perLine);
  const element = pen.tag("P", pen.root);
  for (let from = 0; from < lines.length; ) {
    await needLines(pen, lines.length - from, perLine);
    const part = lines.slice(from, from + linesHere(pen, lines.length - from, perLine));
    const isFirst = from === 0;
    pen.mark("P", element, () => {
      if (indent > 0 && isFirst) drawTone(pen, tone, pen.left, pen.y + perLine * 0.2, 8.5);
      pen.set(part, pen.left + indent, pen.y, style);
    });
    pen.y += part.length * perLine;
    from += part.length;
  }
  element.end();
  pen.y += pen.gap(5);
};

/** When a text is split over two pages, at least this many of its lines go on the next page; a shorter text is not split. */
const fewestLines = 3;
const needLines = (pen: Pen, count: number, perLine: number): Promise<boolean> =>
  count <= fewestLines ? pen.needLast(count * perLine) : pen.need(2 * perLine);
const linesHere = (pen: Pen, count: number, perLine: number): number => {
  const fitting = Math.max(1, Math.floor((pen.room + 0.01) / perLine));
  if (fitting >= count && (count <= fewestLines || pen.room + 0.01 >= pen.withKept(count * perLine))) return count;
  return Math.max(1, Math.min(fitting, count - fewestLines));
};

const factStyle = {
  label: { sizePt: 8, bold: false },
  value: { sizePt: 9, bold: true },
};

const fewestFactRows = 2;

const setFacts = (pen: Pen, { columns, rows }: Facts, width: number, labelWidth: number) => {
  const set = rows.map((fact) => {
    const indent = fact.tone === undefined || fact.tone === "plain" ? 0 : 11;
    const label = pen.layOut(fact.label, labelWidth - 6, factStyle.label);
    const value = pen.layOut(fact.value, width - labelWidth - indent, factStyle.value);
    return { fact, indent, label, value, heightPt: Math.max(label.length * lineHeightPt(8) + 1, value.length * lineHeightPt(9)) };
  });
  return Array.from({ length: Math.ceil(set.length / columns) }, (_, index) => {
    const row = set.slice(index * columns, (index + 1) * columns);
    return { row, heightPt: Math.max(...row.map(({ heightPt }) => heightPt)) + 3 };
  });
};

export const drawFacts = async (pen: Pen, block: Facts): Promise<void> => {
  const gap = 16;
  const width = (pen.width - gap * (block.columns - 1)) / block.columns;
  const labelWidth = Math.min(120, width * 0.42);
  const rows = setFacts(pen, block, width, labelWidth);
  const start = rows.slice(0, fewestFactRows).reduce((sum, { heightPt }) => sum + heightPt, 0);
  await pen.need(Math.min(start, pen.fullHeight));
  const element = pen.tag("L", pen.root);
  for (const [index, { row, heightPt: height }] of rows.entries()) {
    await (index === rows.length - 1 ? pen.needLast(height) : pen.need(height));
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
  pen.y += pen.gap(7);
};

/** A longer reason may go on over a page. */
const mostWholeLines = 6;

/** Reasons in pieces that each stay whole. */
const piecesOf = (reasons: readonly (readonly Line[])[]): { readonly lines: readonly Line[]; readonly begins: boolean }[] =>
  reasons.flatMap((lines) =>
    Array.from({ length: Math.ceil(lines.length / mostWholeLines) }, (_, index) => ({
      lines: lines.slice(index * mostWholeLines, (index + 1) * mostWholeLines),
      begins: index === 0,
    })),
  );

/** The box grows over pages with its reasons: none is ever left out. */
export const drawBadge = async (pen: Pen, block: Badge): Promise<void> => {
  const pad = 9;
  const textX = pen.left + 44;
  const width = pen.right - pad - textX;
  const title = { sizePt: 14, bold: true, colour: ink[block.tone] };
  const small = { sizePt: 8.4, bold: false, colour: ink.plain };
  const plain = { sizePt: 9, bold: false };
  const perLine = lineHeightPt(plain.sizePt);
  const titleLines = pen.layOut(block.title, width, title);
  const noteLines = block.note === undefined ? [] : pen.layOut(block.note, width, small);
  const pieces = piecesOf(block.reasons.map((reason) => pen.layOut(reason, width - 10, plain)));
  const headHeight = titleLines.length * lineHeightPt(14) + noteLines.length * lineHeightPt(8.4);
  await pen.need(Math.min(headHeight + (pieces[0]?.lines.length ?? 0) * perLine + 2 * pad + 10, pen.fullHeight));
  const sect = pen.tag("Sect", pen.root);
  let list: Element | null = null;
  let item: Element | null = null;
  let words: Element | null = null;
  let next = 0;
  for (let isFirst = true; isFirst || next < pieces.length; isFirst = false) {
    if (!isFirst) await pen.turnPage();
    let until = next;
    let height = (isFirst ? headHeight : 0) + 2 * pad;
    for (; until < pieces.length; until += 1) {
      const more = (pieces[until]?.lines.length ?? 0) * perLine;
      if (height + more > pen.room && (until > next || isFirst)) break;
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
    }
    y += 2;
    for (const { lines, begins } of pieces.slice(next, until)) {
      if (begins) {
        words?.end();
        item?.end();
        // Made after the title, so that the title is read aloud first.
        list ??= pen.tag("L", sect);
        item = pen.tag("LI", list);
        words = pen.tag("LBody", item);
        const at = y;
        pen.artifact(() => pen.doc.rect(textX, at + 5, 3.4, 3.4).fill(ink[block.tone]));
      }
      const at = y;
      if (words !== null) pen.mark("LBody", words, () => pen.set(lines, textX + 10, at, plain));
      y += lines.length * perLine;
    }
    next = until;
    pen.y += boxHeight + pen.gap(9);
  }
  words?.end();
  item?.end();
  list?.end();
  sect.end();
};

/** The usual width of a time; one with its time zone needs more. */
const usualWhenPt = 96;
const whenStyle = { sizePt: 8.4, bold: false, colour: ink.quiet };
const stepStyles = { title: { sizePt: 9, bold: true }, detail: { sizePt: 8.4, bold: false, colour: ink.plain } };
const perTitlePt = lineHeightPt(stepStyles.title.sizePt);
const perDetailPt = lineHeightPt(stepStyles.detail.sizePt);
/** A step with more details than this may go on over a page. */
const mostWholeDetails = 14;

export const drawCourse = async (pen: Pen, block: Course): Promise<void> => {
  const longest = Math.max(0, ...block.steps.map(({ when }) => pen.layOut(when, pen.width, whenStyle)[0]?.widthPt ?? 0));
  const whenWidth = Math.max(usualWhenPt, Math.min(longest + 4, pen.width / 3));
  const x = pen.left + whenWidth + 22;
  const width = pen.right - x;
  const steps = block.steps.map((step) => {
    const title = pen.layOut(step.title, width, stepStyles.title);
    const details = step.details.flatMap((detail) => pen.layOut(detail, width, stepStyles.detail));
    const titlePt = title.length * perTitlePt;
    const isWhole = details.length <= mostWholeDetails;
    return { step, title, titlePt, details, isWhole, startPt: titlePt + (isWhole ? details.length : 2) * perDetailPt };
  });
  await pen.need(steps[0]?.startPt ?? 0);
  const list = pen.tag("L", pen.root);
  for (const [index, { step, title, titlePt, details, isWhole, startPt }] of steps.entries()) {
    const isLastStep = index === steps.length - 1;
    await (isLastStep && isWhole ? pen.needLast(startPt) : pen.need(startPt));
    const item = pen.tag("LI", list);
    const top = pen.y;
    pen.leaf("Lbl", item, () => pen.setOne(step.when, pen.left, top + 0.5, { ...whenStyle, widthPt: whenWidth }));
    const bodyElement = pen.tag("LBody", item);
    pen.mark("LBody", bodyElement, () => {
      if (step.tone === "plain") pen.doc.circle(pen.left + whenWidth + 9, top + 6.5, 3).fill(ink.plain);
      else drawTone(pen, step.tone, pen.left + whenWidth + 4.5, top + 2, 9);
      pen.set(title, x, top, { ...stepStyles.title, colour: ink[step.tone] });
    });
    pen.y += titlePt;
    let turned = false;
    for (let from = 0; from < details.length; ) {
      const left = details.length - from;
      const isEnd = isLastStep && !isWhole && left <= fewestLines;
      turned = (await (isEnd ? pen.needLast(left * perDetailPt) : pen.need(perDetailPt))) || turned;
      const part = details.slice(from, from + (isWhole ? left : linesHere(pen, left, perDetailPt)));
      pen.mark("LBody", bodyElement, () => pen.set(part, x, pen.y, stepStyles.detail));
      pen.y += part.length * perDetailPt;
      from += part.length;
    }
    if (!isLastStep && !turned) {
      const end = pen.y + pen.gap(6) + 1;
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
    pen.y += pen.gap(6);
  }
  list.end();
  pen.y += pen.gap(4);
};
