// Tables: a row stays whole unless it is taller than a page, and the head stands again on each page.
import type { Cell, LongTable, Table } from "./document.ts";
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

const setHead = (pen: Pen, table: Pick<Table, "columns">, columns: readonly Placed[]) => {
  const heads = table.columns.map((column, index) => pen.layOut(column.head, (columns[index]?.width ?? 0) - 2 * padding.x, head));
  return { heads, height: Math.max(...heads.map((lines) => lines.length)) * lineHeightPt(head.sizePt) + 2 * padding.y };
};

/** On the first page the head is part of the table; repeated, it is decoration, or it would be read aloud again and again. */
const drawHead = (pen: Pen, table: Pick<Table, "columns">, columns: readonly Placed[], element: Element | null): void => {
  const { heads, height } = setHead(pen, table, columns);
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

/** The first lines of every cell, as many as fit; the rest goes on over the page. */
const splitAt = (cells: readonly SetCell[], roomPt: number): { now: SetCell[]; later: SetCell[] } => {
  const parts = cells.map(({ cell, lines, notes }) => {
    const room = roomPt - 2 * padding.y;
    const count = Math.min(lines.length, Math.max(1, Math.floor(room / lineHeightPt(body))));
    const noteCount = Math.max(0, Math.floor((room - count * lineHeightPt(body)) / lineHeightPt(note)));
    return {
      now: { cell, lines: lines.slice(0, count), notes: count < lines.length ? [] : notes.slice(0, noteCount) },
      later: {
        // The tone's sign is drawn only in the part with the beginning of the cell.
        cell: { ...cell, ...(hasMark(cell) ? { tone: "plain" as const } : {}) },
        lines: lines.slice(count),
        notes: count < lines.length ? notes : notes.slice(noteCount),
      },
    };
  });
  return { now: parts.map(({ now }) => now), later: parts.map(({ later }) => later) };
};

/** A row taller than this share of a page is split rather than leave the foot of a page empty. */
const shareKeptWhole = 0.4;
/** The least height of such a part at the foot of a page, and at the head of the next. */
const fewestPt = 6 * lineHeightPt(body);
/** This many first rows of a table stay with its head, and this many last rows stay together. */
const fewestRows = 2;

/** How much room a row wants where it begins. */
const startOf = (pen: Pen, cells: readonly SetCell[]): number => {
  const height = heightOf(cells);
  return height <= shareKeptWhole * pen.fullHeight ? height : fewestPt;
};
const startOfAll = (pen: Pen, rows: readonly SetCell[][]): number => rows.reduce((sum, cells) => sum + startOf(pen, cells), 0);

/** Draws a table from where the pen stands, over as many pages as it takes; its rows may come as they are read. */
export const drawTable = async (pen: Pen, table: Table | LongTable): Promise<void> => {
  const columns = placeColumns(pen, table);
  const headPt = setHead(pen, table, columns).height;
  let element: Element | null = null;
  /** read, and drawn when it is known whether they are the last */
  const waiting: SetCell[][] = [];
  const drawNext = async (isEnd: boolean): Promise<void> => {
    const [cells] = waiting;
    if (cells === undefined) return;
    if (element === null) {
      const start = headPt + startOfAll(pen, waiting.slice(0, fewestRows));
      await pen.need(Math.min(isEnd ? pen.withKept(start) : start, pen.fullHeight));
      element = pen.tag("Table", pen.root, { alt: table.alt });
      drawHead(pen, table, columns, element);
    }
    const most = pen.fullHeight - headPt;
    const rest = startOfAll(pen, isEnd ? waiting : waiting.slice(0, 1));
    const kept = isEnd ? pen.withKept(rest) : rest;
    await drawRow(pen, table, columns, element, cells, {
      startPt: kept > most ? startOf(pen, cells) : kept,
      isLast: isEnd && waiting.length === 1,
    });
    waiting.shift();
  };
  for await (const row of table.rows) {
    waiting.push(setRow(pen, row, columns));
    if (waiting.length > fewestRows) await drawNext(false);
  }
  while (waiting.length > 0) await drawNext(true);
  if (element === null) return drawNone(pen, table);
  (element as Element).end();
  pen.y += pen.gap(8);
};

const noneStyle = { sizePt: 9, bold: false, colour: ink.quiet };
/** Height of a table without rows: of the sentence that says so. */
export const heightOfNone = (pen: Pen, { empty }: Pick<Table, "empty">): number =>
  pen.layOut(empty, pen.width, noneStyle).length * lineHeightPt(noneStyle.sizePt) + pen.gap(8);

const drawNone = async (pen: Pen, table: Pick<Table, "empty">): Promise<void> => {
  const height = heightOfNone(pen, table);
  await pen.needLast(height);
  pen.leaf("P", pen.root, () => pen.set(pen.layOut(table.empty, pen.width, noneStyle), pen.left, pen.y, noneStyle));
  pen.y += height;
};

const drawRow = async (
  pen: Pen,
  table: Pick<Table, "columns">,
  columns: readonly Placed[],
  element: Element,
  row: readonly SetCell[],
  { startPt, isLast }: { readonly startPt: number; readonly isLast: boolean },
): Promise<void> => {
  let cells = row;
  const tr = pen.tag("TR", element);
  const tds = cells.map(() => pen.tag("TD", tr));
  const turn = async () => {
    await pen.turnPage();
    drawHead(pen, table, columns, null);
  };
  if (pen.room < startPt && !pen.isAtTop) await turn();
  for (;;) {
    const height = heightOf(cells);
    // What is kept with the table has to fit under the end of a tall last row.
    const isCrowded = isLast && height > 2 * fewestPt && pen.room < pen.withKept(height);
    const part =
      height > pen.room || isCrowded ? splitAt(cells, Math.min(pen.room, height - (isCrowded ? fewestPt : 0))) : { now: cells, later: [] };
    const nowPt = heightOf(part.now);
    part.now.forEach((cell, at) => {
      const column = columns[at];
      const td = tds[at];
      if (column !== undefined && td !== undefined) pen.mark("TD", td, () => drawCell(pen, cell, column));
    });
    pen.artifact(() => pen.rule(pen.y + nowPt, 0.4, hairline));
    pen.y += nowPt;
    if (!part.later.some((cell) => cell.lines.length + cell.notes.length > 0)) break;
    cells = part.later;
    await turn();
  }
  for (const td of tds) td.end();
  tr.end();
};
