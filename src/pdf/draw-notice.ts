// A notice to hang up: its few words are read from three metres, the rest from beside it.
import type { Notice } from "./document-codes.ts";
import { codeOf, drawCode, quietModules } from "./draw-code.ts";
import { hairline, ink, lineHeightPt, type Pen } from "./pen.ts";
import { drawTone } from "./shapes.ts";

const mostSignPt = 62;
const leastSignPt = 28;
/** Capitals are seven tenths of their size, so that 40 points are 10 mm: read from three metres (a three-hundredth of the distance; common practice, no source). */
const farSizes = [64, 56, 48, 44, 40];
const reasonSizes = [14, 12, 10.5, 9, 8, 7];
/** The smaller where a name is too long for one line. */
const nearSizes = [11, 9];
const bulletPt = 14;
const codePt = 94;
const gapPt = 8;

/** Draws the notice over a whole page. */
export const drawNotice = async (pen: Pen, { title, mark, lines, reasons, say, address, alt }: Notice): Promise<void> => {
  await pen.need(pen.fullHeight);
  const { left, width } = pen;
  const far = [title, mark].map((text) => setIn(pen, farSizes, text, true));
  const near = lines.map((line) => setIn(pen, nearSizes, line, false));
  const tried = setReasons(pen, reasons);
  const codeTop = pen.bottom - codePt - gapPt;
  const leftPt = [...far, ...near].reduce((sum, { heightPt }) => sum - heightPt, codeTop - gapPt * 3 - pen.y);
  // Long names leave less room for the sign, or none: the words are what nobody may miss.
  const signPt = Math.min(mostSignPt, leftPt - gapPt - (tried.at(-1)?.heightPt ?? 0));
  if (signPt >= leastSignPt) {
    const top = pen.y;
    pen.artifact(() => drawTone(pen, "bad", left + (width - signPt) / 2, top, signPt));
    pen.y += signPt + gapPt;
  }
  for (const [place, { laid, sizePt, heightPt }] of far.entries()) {
    const style = { sizePt, bold: true, colour: place === 0 ? ink.bad : ink.plain, align: "centre", widthPt: width } as const;
    const top = pen.y;
    pen.leaf(place === 0 ? "H1" : "P", pen.root, () => pen.set(laid, left, top, style));
    pen.y += heightPt;
  }
  for (const { laid, sizePt, heightPt } of near) {
    const top = pen.y;
    pen.leaf("P", pen.root, () => pen.set(laid, left, top, { sizePt, bold: false, align: "centre", widthPt: width }));
    pen.y += heightPt;
  }
  const ruleTop = pen.y + gapPt / 2;
  pen.artifact(() => pen.rule(ruleTop, 1, hairline));
  drawReasons(pen, tried, pen.y + gapPt * 1.5, codeTop - gapPt);

  const code = codeOf(address);
  const modulePt = codePt / code.length;
  const bbox: [number, number, number, number] = [left, codeTop, left + codePt, codeTop + codePt];
  pen.leaf("Figure", pen.root, () => drawCode(pen, code, left, codeTop, modulePt), { alt, bbox });
  const textX = left + codePt + quietModules * modulePt + 4;
  const room = left + width - textX;
  const [what, until] = say;
  let y = codeTop;
  for (const [text, style] of [[what, { sizePt: 13, bold: true }] as const, [until, { sizePt: 10, bold: false }] as const]) {
    const set = pen.layOut(text, room, style);
    const top = y;
    pen.leaf("P", pen.root, () => pen.set(set, textX, top, style));
    y += set.length * lineHeightPt(style.sizePt) + 3;
  }
  pen.y = pen.bottom;
};

/** In the largest of the sizes in which it goes on one line, or on several in the smallest. */
const setIn = (pen: Pen, sizes: readonly number[], text: string, bold: boolean) => {
  const laidAt = (sizePt: number) => pen.layOut(text, pen.width, { sizePt, bold });
  const sizePt = sizes.find((size) => laidAt(size).length === 1) ?? sizes.at(-1) ?? 0;
  const laid = laidAt(sizePt);
  return { laid, sizePt, heightPt: laid.length * lineHeightPt(sizePt) };
};

/** The reasons in each of the sizes, the largest first. */
const setReasons = (pen: Pen, reasons: readonly string[]) =>
  reasonSizes.map((sizePt) => {
    const laid = reasons.map((reason) => pen.layOut(reason, pen.width - bulletPt, { sizePt, bold: true }));
    return { sizePt, laid, heightPt: laid.reduce((sum, one) => sum + one.length * lineHeightPt(sizePt) + 4, 0) };
  });

/** In the largest letters in which all fit; what does not fit in the smallest either is read where the code leads. */
const drawReasons = (pen: Pen, tried: ReturnType<typeof setReasons>, top: number, bottom: number): void => {
  const chosen = tried.find(({ heightPt }) => heightPt <= bottom - top) ?? tried.at(-1);
  if (!chosen) return;
  const { sizePt, laid } = chosen;
  let y = top;
  const list = pen.tag("L", pen.root);
  for (const one of laid) {
    const shown = one.slice(0, Math.max(0, Math.floor((bottom - y) / lineHeightPt(sizePt))));
    if (shown.length === 0) break;
    const at = y;
    const item = pen.tag("LI", list);
    pen.leaf("LBody", item, () => {
      drawTone(pen, "bad", pen.left, at + lineHeightPt(sizePt) * 0.2, sizePt * 0.8);
      pen.set(shown, pen.left + bulletPt, at, { sizePt, bold: true });
    });
    item.end();
    y += shown.length * lineHeightPt(sizePt) + 4;
  }
  list.end();
};
