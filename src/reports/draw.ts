// A paper as a PDF: block after block, in order.
import type { Readable } from "node:stream";
import type { Block, PaperDocument, PaperHead } from "./document.ts";
import { drawBadge, drawBlanks, drawCourse, drawFacts, drawHeading, drawParagraph, drawSignatures } from "./draw-blocks.ts";
import { drawBars, drawDays, drawLine, drawShareBar } from "./draw-chart.ts";
import { drawControl, drawIntervals, drawSteps } from "./draw-chart-limits.ts";
import { drawGrid } from "./draw-grid.ts";
import { drawLabels } from "./draw-labels.ts";
import { drawPictures } from "./draw-pictures.ts";
import { drawCheckRows } from "./draw-sheet.ts";
import { drawTable } from "./draw-table.ts";
import { type PaperLayout, Pen } from "./pen.ts";

const drawBlock = async (pen: Pen, block: Block): Promise<void> => {
  switch (block.kind) {
    case "heading":
      return drawHeading(pen, block);
    case "paragraph":
      return drawParagraph(pen, block);
    case "facts":
      return drawFacts(pen, block);
    case "badge":
      return drawBadge(pen, block);
    case "table":
    case "long-table":
      return drawTable(pen, block);
    case "bars":
      return drawBars(pen, block);
    case "share-bar":
      return drawShareBar(pen, block);
    case "line":
      return drawLine(pen, block);
    case "control":
      return drawControl(pen, block);
    case "intervals":
      return drawIntervals(pen, block);
    case "steps":
      return drawSteps(pen, block);
    case "days":
      return drawDays(pen, block);
    case "day-grid":
      return drawGrid(pen, block);
    case "course":
      return drawCourse(pen, block);
    case "signatures":
      return drawSignatures(pen, block);
    case "blanks":
      return drawBlanks(pen, block);
    case "check-rows":
      return drawCheckRows(pen, block);
    case "pictures":
      return drawPictures(pen, block);
    case "labels":
      return drawLabels(pen, block);
    case "page-break":
      if (!pen.isAtTop) await pen.turnPage();
      return;
    default: {
      const never: never = block;
      throw new Error(`no drawing for ${JSON.stringify(never)}`);
    }
  }
};

/**
 * Draws a paper and streams it out page by page: A4, tagged, with bookmarks, title and language, all fonts embedded.
 * The same paper gives the same bytes. An error in drawing destroys the stream; destroying the stream ends the drawing.
 */
export const drawPdf = ({ head, blocks }: PaperDocument): Readable => drawBlocks(head, blocks);

/** The same for a paper whose blocks are made as they are drawn, so that it is never whole in memory. */
export const drawLongPdf = (head: PaperHead, blocks: AsyncIterable<Block>): Readable =>
  drawBlocks(head, blocks, { landscape: true, untagged: true });

const drawBlocks = (head: PaperHead, blocks: Iterable<Block> | AsyncIterable<Block>, layout: PaperLayout = {}): Readable => {
  const pen = new Pen(head, layout);
  const stream = pen.doc as unknown as Readable;
  const drawAll = async () => {
    for await (const block of blocks) await drawBlock(pen, block);
    await pen.need(0);
    pen.finish();
  };
  drawAll().catch((error: unknown) => {
    if (!stream.destroyed) stream.destroy(error instanceof Error ? error : new Error(String(error)));
  });
  return stream;
};
