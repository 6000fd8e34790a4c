// A report as a PDF: block after block, in order.
import type { Readable } from "node:stream";
import type { Block, ReportDocument, ReportHead } from "./document.ts";
import { drawBadge, drawCourse, drawFacts, drawHeading, drawParagraph, heightOfHeading } from "./draw-blocks.ts";
import { drawBars, drawDays, drawShareBar } from "./draw-chart.ts";
import { drawControl, drawIntervals, drawSteps } from "./draw-chart-limits.ts";
import { drawGrid } from "./draw-grid.ts";
import { drawLabels } from "./draw-labels.ts";
import { drawLine } from "./draw-line.ts";
import { drawNotice } from "./draw-notice.ts";
import { drawPictures } from "./draw-pictures.ts";
import { drawCheckRows } from "./draw-sheet.ts";
import { drawBlanks, drawSignatures, heightOfBlanks, heightOfSignatures } from "./draw-signing.ts";
import { drawTable, heightOfNone } from "./draw-table.ts";
import { Pen, type ReportLayout } from "./pen.ts";

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
    case "notice":
      return drawNotice(pen, block);
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
 * Draws a report and streams it out page by page: tagged, with bookmarks, title and language, all fonts embedded.
 * The same report gives the same bytes. An error in drawing destroys the stream; destroying the stream ends the drawing.
 */
export const drawPdf = ({ head, blocks, sheet }: ReportDocument): Readable => drawBlocks(head, blocks, { sheet });

/** The same for a report whose blocks are made as they are drawn, so that it is never whole in memory. */
export const drawLongPdf = (head: ReportHead, blocks: AsyncIterable<Block>): Readable =>
  drawBlocks(head, blocks, { landscape: true, untagged: true });

/** The blocks at the end of a report that are filled in by hand: they never have a page to themselves. */
const isClosing = ({ kind }: Block): boolean => kind === "heading" || kind === "blanks" || kind === "signatures";
/** A section that only says 'none' does not count as company: up to this many of them move along with the closing blocks. */
const mostThinKept = 2;
const isThin = (block: Block | undefined): boolean => block?.kind === "table" && block.rows.length === 0;

const closingOf = (blocks: readonly Block[]): readonly Block[] => {
  let from = blocks.findLastIndex((block) => !isClosing(block)) + 1;
  if (from === blocks.length) return [];
  for (let thin = 0; thin < mostThinKept && isThin(blocks[from - 1]) && blocks[from - 2]?.kind === "heading"; thin += 1) from -= 2;
  return blocks.slice(from);
};

const heightOfClosing = (pen: Pen, block: Block): number =>
  block.kind === "heading"
    ? heightOfHeading(pen, block)
    : block.kind === "blanks"
      ? heightOfBlanks(pen, block)
      : block.kind === "signatures"
        ? heightOfSignatures(pen, block)
        : block.kind === "table"
          ? heightOfNone(pen, block)
          : 0;

/** A paragraph between a heading and its table or chart stays with them if it has no more characters than this. */
const mostLeading = 500;
const asLed = (blocks: readonly Block[], index: number, block: Block): Block => {
  const next = blocks[index + 1];
  const leads = block.kind === "paragraph" && block.text.length <= mostLeading && blocks[index - 1]?.kind === "heading";
  return leads && next && !["heading", "paragraph", "page-break"].includes(next.kind) ? { ...block, leads: true } : block;
};

/** Draws blocks that are all in memory: how they break into pages is tried out first. */
const drawKnown = async (pen: Pen, blocks: readonly Block[]): Promise<void> => {
  const closing = closingOf(blocks);
  const drawAll = async () => {
    for (const [index, block] of blocks.entries()) {
      if (index === blocks.length - closing.length - 1) pen.keep(closing.reduce((sum, one) => sum + heightOfClosing(pen, one), 0));
      else pen.keep(0);
      await drawBlock(pen, asLed(blocks, index, block));
    }
  };
  if (blocks.every((block) => block.kind !== "table" || block.rows.length <= mostRowsTried)) await pen.fit(drawAll);
  await drawAll();
};
/** A report with longer tables is not tried out: it has many pages, and nobody would notice one fewer. */
const mostRowsTried = 200;

const drawBlocks = (head: ReportHead, blocks: Iterable<Block> | AsyncIterable<Block>, layout: ReportLayout = {}): Readable => {
  const pen = new Pen(head, layout);
  const stream = pen.doc as unknown as Readable;
  const drawAll = async () => {
    if (Array.isArray(blocks)) await drawKnown(pen, blocks as readonly Block[]);
    else for await (const block of blocks) await drawBlock(pen, block);
    await pen.need(0);
    const { notDrawn } = pen;
    if (notDrawn !== null) await drawParagraph(pen, { kind: "paragraph", text: notDrawn, tone: "quiet", size: "small" });
    pen.finish();
  };
  drawAll().catch((error: unknown) => {
    if (!stream.destroyed) stream.destroy(error instanceof Error ? error : new Error(String(error)));
  });
  return stream;
};
