// QR codes (ISO/IEC 18004), drawn as bars.
import { encode } from "uqr";
import type { Pen } from "./pen.ts";

/** Modules that stay white around a code: ISO/IEC 18004, "Quiet zone". */
export const quietModules = 4;

export type Code = readonly (readonly boolean[])[];

/** With level Q a quarter of the code may be dirty or scratched. */
export const codeOf = (address: string): Code => encode(address, { ecc: "Q", border: 0 }).data;

/** Runs of dark modules as bars, a hair over a module high, so that no reader shows seams between the rows. */
export const drawCode = (pen: Pen, code: Code, x: number, y: number, modulePt: number): void => {
  const overlapPt = 0.05;
  code.forEach((row, line) => {
    for (let from = 0; from < row.length; from += 1) {
      if (!row[from]) continue;
      let until = from;
      while (row[until]) until += 1;
      pen.doc.rect(x + from * modulePt, y + line * modulePt, (until - from) * modulePt, modulePt + overlapPt);
      from = until;
    }
  });
  pen.doc.fill("#000000");
};
