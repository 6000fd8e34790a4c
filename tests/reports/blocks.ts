// Looks into a composed report: its blocks by kind, its texts, the table under a heading.
import type { Block, ReportDocument } from "../../src/pdf/document.ts";

export const blocksOf = <K extends Block["kind"]>(paper: ReportDocument, kind: K): Extract<Block, { kind: K }>[] =>
  paper.blocks.filter((block): block is Extract<Block, { kind: K }> => block.kind === kind);

/** Every text in a document, in order. */
const textsOf = (value: unknown): string[] => {
  if (typeof value === "string") return [value];
  if (value === null || typeof value !== "object" || value instanceof Date) return [];
  return Object.values(value).flatMap(textsOf);
};
export const textOf = (value: unknown): string => textsOf(value).join("\n").replaceAll("\u00a0", " ");

export const headings = (paper: ReportDocument): string[] => blocksOf(paper, "heading").map((block) => block.text);
export const positionOf = (paper: ReportDocument, test: (block: Block) => boolean): number => paper.blocks.findIndex(test);
export const tableUnder = (paper: ReportDocument, heading: string): Extract<Block, { kind: "table" }> => {
  const at = positionOf(paper, (block) => block.kind === "heading" && block.text === heading);
  const table = paper.blocks.slice(at).find((block) => block.kind === "table");
  if (at < 0 || table === undefined) throw new Error(`no table under ${heading}`);
  return table;
};
