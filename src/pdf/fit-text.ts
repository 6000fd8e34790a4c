// A name in a place of fixed size: a long one gets smaller letters and more lines, and is cut only if the letters would be too small to read.
import { lineHeightPt, type Pen, type SetOptions } from "./pen.ts";

const sizes = [1, 0.88, 0.78, 0.68] as const;

/** Sets the text in the middle of `heightPt`, beginning at `sizePt`. */
export function setFitted(
  pen: Pen,
  text: string,
  x: number,
  top: number,
  options: SetOptions & { widthPt: number; heightPt: number },
): void {
  const { widthPt, heightPt, ...style } = options;
  for (const share of sizes) {
    const sizePt = style.sizePt * share;
    const lines = pen.layOut(text, widthPt, { ...style, sizePt });
    const textPt = lines.length * lineHeightPt(sizePt);
    // The empty space above and below the letters may stick out.
    if (textPt > heightPt + 0.3 * sizePt) continue;
    pen.set(lines, x, top + (heightPt - textPt) / 2, { ...style, sizePt, widthPt });
    return;
  }
  const sizePt = style.sizePt * (sizes.at(-1) ?? 1);
  pen.setOne(text, x, top + (heightPt - lineHeightPt(sizePt)) / 2, { ...style, sizePt, widthPt });
}
