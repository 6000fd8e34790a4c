// Tables: a row stays whole unless it is taller than a page, and the head stands again on each page.
import type { Cell, Column, LongTable, Table } from "./document.ts";
import { type Element, hairline, ink, lineHeightPt, type Pen, tint } from "./pen.ts";
import { drawTone } from "./shapes.ts";
import type { Line } from "./text-layout.ts";

const padding = { x: 4, y: 2.6 };
const body = 8.2;
const note = 7;
const head = { sizePt: 7.6, bold: true };
const markSize = 7;

interface Placed {
  readonly x: number;
  readonly width: number;
  readonly align: "left" | "right";
}

interface SetCell {
  readonly cell: Cell;
  readonly lines: readonly Line[];
  readonly notes: readonly Line[];
}

const placeColumns = (pen: Pen, table: Pick<Table, "columns">): Placed[] => {
  const shares = table.columns.reduce((sum, column) => sum + column.share, 0);
  let x = pen.left;
  return table.columns.map((column) => {
    const width = (column.share / shares) * pen.width;
    const placed = { x, width, align: column.align ?? "left" };
    x += width;
    return placed;
  });
};

const hasMark = (cell: Cell): boolean => cell.tone !== undefined && cell.tone !== "plain";
const indentOf = (cell: Cell): number => (hasMark(cell) ? markSize + 3 : 0);

const setRow = (pen: Pen, row: readonly (string | Cell)[], columns: readonly Placed[]): SetCell[] =>
  columns.map((column, index) => {
    const given = row[index] ?? "";
    const cell = typeof given === "string" ? { text: given } : given;
    const width = column.width - 2 * padding.x - indentOf(cell);
    return {
      cell,
      lines: pen.layOut(cell.text, width, {
        sizePt: body,
        bold: cell.bold ?? false,
      }),
      notes: cell.note === undefined ? [] : pen.layOut(cell.note, width, { sizePt: note, bold: false }),
    };
  });

const heightOf = (cells: readonly SetCell[]): number =>
  Math.max(...cells.map((cell) => cell.lines.length * lineHeightPt(body) + cell.notes.length * lineHeightPt(note))) + 2 * padding.y;

/** On the first page the head is part of the table; repeated, it is decoration, or it would be read aloud again and again. */
const drawHead = (pen: Pen, table: { readonly columns: readonly Column[] }, columns: readonly Placed[], element: Element | null): void => {
  const heads = table.columns.map((column, index) => pen.layOut(column.head, (columns[index]?.width ?? 0) - 2 * padding.x, head));
  const height = Math.max(...heads.map((lines) => lines.length)) * lineHeightPt(head.sizePt) + 2 * padding.y;
  pen.artifact(() => pen.doc.rect(pen.left, pen.y, pen.width, height).fill(tint.plain));
  const row = element === null ? null : pen.tag("TR", element);
  heads.forEach((lines, index) => {
    const column = columns[index];
    if (column === undefined) return;
    const draw = () => {
      pen.set(lines, column.x + padding.x, pen.y + padding.y, {
        ...head,
        align: column.align,
        widthPt: column.width - 2 * padding.x,
      });
    };
    if (row === null) pen.artifact(draw, "Pagination");
    else pen.leaf("TH", row, draw, { scope: "Column" });
  });
  row?.end();
  pen.artifact(() => pen.rule(pen.y + height, 0.8, ink.plain));
  pen.y += height;
};

const drawCell = (pen: Pen, { cell, lines, notes }: SetCell, column: Placed): void => {
  const indent = indentOf(cell);
  const x = column.x + padding.x + indent;
  const widthPt = column.width - 2 * padding.x - indent;
  const tone = cell.tone ?? "plain";
  const top = pen.y + padding.y;
  if (hasMark(cell)) drawTone(pen, tone, column.x + padding.x, top + 2.4, markSize);
  const height = pen.set(lines, x, top, {
    sizePt: body,
    bold: cell.bold ?? false,
    colour: ink[tone],
    align: column.align,
    widthPt,
  });
  pen.set(notes, x, top + height, {
    sizePt: note,
    bold: false,
    colour: ink.quiet,
    align: column.align,
    widthPt,
  });
};

/** A row taller than a page goes on over pages, as many lines of every cell on each as fit. */
const partOf = (cells: readonly SetCell[], roomPt: number): { now: SetCell[]; later: SetCell[] } => {
  const count = Math.max(1, Math.floor((roomPt - 2 * padding.y) / lineHeightPt(body)));
  return {
    now: cells.map((cell) => ({
      ...cell,
      lines: cell.lines.slice(0, count),
      notes: cell.lines.length < count ? cell.notes.slice(0, count - cell.lines.length) : [],
    })),
    later: cells.map((cell) => ({
      cell: {
        ...cell.cell,
        ...(hasMark(cell.cell) ? { tone: "plain" as const } : {}),
      },
      lines: cell.lines.slice(count),
      notes: cell.notes.slice(cell.lines.length < count ? count - cell.lines.length : 0),
    })),
  };
};

/** Draws a table from where the pen stands, over as many pages as it takes; its rows may come as they are read. */
export const drawTable = async (pen: Pen, table: Table | LongTable): Promise<void> => {
  const columns = placeColumns(pen, table);
  let element: Element | null = null;
  for await (const row of table.rows) {
    const cells = setRow(pen, row, columns);
    if (element === null) {
      await pen.need(Math.min(heightOf(cells) + 40, pen.fullHeight));
      element = pen.tag("Table", pen.root, { alt: table.alt });
      drawHead(pen, table, columns, element);
    }
    await drawRow(pen, table, columns, element, cells);
  }
  if (element === null) return drawNone(pen, table.empty);
  element.end();
  pen.y += 8;
};

const drawNone = async (pen: Pen, text: string): Promise<void> => {
  const style = { sizePt: 9, bold: false, colour: ink.quiet };
  const lines = pen.layOut(text, pen.width, style);
  await pen.need(lines.length * lineHeightPt(9) + 8);
  pen.leaf("P", pen.root, () => pen.set(lines, pen.left, pen.y, style));
  pen.y += lines.length * lineHeightPt(9) + 8;
};

const drawRow = async (
  pen: Pen,
  table: Pick<Table, "columns">,
  columns: readonly Placed[],
  element: Element,
  row: readonly SetCell[],
): Promise<void> => {
  let cells = row;
  const tr = pen.tag("TR", element);
  const tds = cells.map(() => pen.tag("TD", tr));
  for (;;) {
    let height = heightOf(cells);
    if (height > pen.room && !pen.isAtTop && (height <= pen.fullHeight - 30 || pen.room < 80)) {
      await pen.turnPage();
      drawHead(pen, table, columns, null);
    }
    const part = height > pen.room ? partOf(cells, pen.room) : { now: cells, later: [] };
    height = Math.min(heightOf(part.now), pen.room);
    part.now.forEach((cell, at) => {
      const column = columns[at];
      const td = tds[at];
      if (column !== undefined && td !== undefined) pen.mark("TD", td, () => drawCell(pen, cell, column));
    });
    pen.artifact(() => pen.rule(pen.y + height, 0.4, hairline));
    pen.y += height;
    if (!part.later.some((cell) => cell.lines.length + cell.notes.length > 0)) break;
    cells = part.later;
    await pen.turnPage();
    drawHead(pen, table, columns, null);
  }
  for (const td of tds) td.end();
  tr.end();
};
