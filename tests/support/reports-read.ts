// What a reader of a paper finds as its figures.
import { readPdf } from "../reports/read-pdf.ts";

export const figureLabels = {
  found: "Defects found",
  machineDays: "Machine-days in service",
  open: "Of these still open",
  lost: "Of these lost",
  noFault: "Of these no fault",
  rate: "In 1,000 machine-days",
  repaired: "Repairs made",
  signedOff: "Signed off",
  closedNoFault: "Closed, no fault found",
} as const;

export type FiguresRead = Record<keyof typeof figureLabels, string>;

/** The figures as they stand on the paper, each behind its label. */
export async function figuresOnReport(bytes: Buffer): Promise<FiguresRead> {
  const text = (await readPdf(bytes)).text.replaceAll("\u00a0", " ");
  const read = (label: string): string => {
    const at = text.indexOf(`${label} `);
    const [value] = /^(too little to say|[\d,.]+)/.exec(text.slice(at + label.length + 1)) ?? [];
    if (at < 0 || value === undefined) throw new Error(`no '${label}' on the paper, which begins: ${text.slice(0, 300)}`);
    return value;
  };
  return Object.fromEntries(Object.entries(figureLabels).map(([name, label]) => [name, read(label)])) as FiguresRead;
}
