// Reading a CSV file that people made: every wrong row is named with the reason, so that the file can be put right in one go.
import { pipeline } from "node:stream/promises";
import { setImmediate as nextTurn } from "node:timers/promises";
import { CsvError, type Info, parse } from "csv-parse";
import { type ProblemIssue, pointerPart } from "./errors.ts";

const mostColumns = 100;
/** so much is read before other requests have their turn */
const pieceBytes = 1024;
const rowsInATurn = 200;

/** What a file holds. */
export interface CsvShape<Column extends string> {
  readonly columns: readonly Column[];
  readonly mayBeMissing: readonly Column[];
  readonly mostRows: number;
  /** what a row is, for whoever reads the refusal */
  readonly one: string;
  readonly many: string;
}

/** A row with something in it; `row` counts as a spreadsheet does, the header being row 1. */
export interface CsvRow<Column extends string> {
  readonly row: number;
  readonly cell: (column: Column) => string;
  /** it has more cells than the header; null: it has not */
  readonly wrong: string | null;
}

/**
 * Reads the file: UTF-8 with or without a mark at its beginning, commas or semicolons, any line ends. Other requests have their turn in
 * between. `issues` is about the file as a whole or its header, with no rows then; pointers are `/` or `/rows/1/<column>`.
 */
export async function readCsvFile<Column extends string>(
  text: string,
  shape: CsvShape<Column>,
): Promise<{ readonly rows: AsyncIterable<CsvRow<Column>>; readonly issues: readonly ProblemIssue[] }> {
  const refused = (message: string) => ({ rows: noRows(), issues: [{ pointer: "/", message }] });
  const bare = text.replace(/^\uFEFF/, "");
  if (bare.includes("\uFFFD")) return refused("is not in UTF-8: save it as 'CSV UTF-8'");
  const read = await readLines(bare, shape);
  if (typeof read === "string") return refused(read);
  const [first = noHeader, ...filled] = read;
  // A spreadsheet's header is its first row, even where that is empty.
  const header = first.row === 1 ? first.cells : [];
  const issues = checkHeader(header, shape);
  if (issues.length > 0) return { rows: noRows(), issues };
  if (filled.length === 0) return refused(`holds no ${shape.one}`);
  return { rows: rowsOf(header, filled, shape), issues: [] };
}

async function* noRows(): AsyncGenerator<never> {}

async function* rowsOf<Column extends string>(
  header: readonly string[],
  lines: readonly Line[],
  shape: CsvShape<Column>,
): AsyncGenerator<CsvRow<Column>> {
  const places = new Map(header.map((name, place) => [asColumn(name, shape), place]));
  for (const [index, { cells, row }] of lines.entries()) {
    if (index % rowsInATurn === 0) await nextTurn();
    const wrong = cells.length > header.length ? `has ${cells.length} cells where the header has ${header.length}` : null;
    yield { row, wrong, cell: (column) => cells[places.get(column) ?? -1] ?? "" };
  }
}

interface Line {
  readonly cells: readonly string[];
  readonly row: number;
}

const noHeader: Line = { cells: [], row: 1 };

/** The rows that hold something; or why the file cannot be read further, which ends the reading at once. */
async function readLines(text: string, shape: CsvShape<string>): Promise<Line[] | string> {
  const firstLine = /^[^\r\n]*/.exec(text)?.[0] ?? "";
  const delimiter = firstLine.split(";").length > firstLine.split(",").length ? ";" : ",";
  const lines: Line[] = [];
  let told = 0;
  let wrong: string | null = null;
  const parser = parse({
    ...{ delimiter, relax_column_count: true, trim: true, record_delimiter: ["\r\n", "\n", "\r"] },
    ...{ info: true, skip_empty_lines: true },
  });
  try {
    await pipeline(pieces(text), parser, async (rows: AsyncIterable<{ readonly record: string[]; readonly info: Info }>) => {
      for await (const { record, info } of rows) {
        const cells = withoutEmptyEnd(record);
        told += 1;
        if (cells.length > 0) lines.push({ cells, row: told + info.empty_lines });
        wrong = tooMuch(lines, told, shape);
        if (wrong !== null) return;
      }
    });
  } catch (error) {
    if (wrong !== null) return wrong;
    if (error instanceof CsvError) return `a quotation mark is out of place: ${error.message}`;
    throw error;
  }
  return wrong ?? lines;
}

/** Lines that hold nothing but separators count up to as many again; wholly blank ones cost nothing and do not count. */
function tooMuch(lines: readonly Line[], told: number, { mostRows, many }: CsvShape<string>): string | null {
  if (lines.length > mostRows + 1) return `holds more than ${mostRows} ${many}: split it`;
  if (told > 2 * mostRows + 1) return `holds more than ${2 * mostRows} rows, most of them empty: take those out`;
  return (lines[0]?.cells.length ?? 0) > mostColumns ? `has a first row of more than ${mostColumns} cells` : null;
}

async function* pieces(text: string): AsyncGenerator<Buffer> {
  // As bytes: a piece of a text could end in the middle of a character.
  const bytes = Buffer.from(text);
  for (let at = 0; at < bytes.length; at += pieceBytes) {
    yield bytes.subarray(at, at + pieceBytes);
    await nextTurn();
  }
}

/** Spreadsheets leave empty cells and rows behind where something once was, and spaces inside quotation marks. */
function withoutEmptyEnd(cells: readonly string[]): string[] {
  const trimmed = cells.map((cell) => cell.trim());
  return trimmed.slice(0, trimmed.findLastIndex((cell) => cell !== "") + 1);
}

const asColumn = <Column extends string>(name: string, { columns }: CsvShape<Column>): Column | undefined =>
  columns.find((column) => column.toLowerCase() === name.toLowerCase());

function checkHeader<Column extends string>(header: readonly string[], shape: CsvShape<Column>): ProblemIssue[] {
  const { columns, mayBeMissing } = shape;
  const known = header.map((name) => asColumn(name, shape));
  const missing = columns.filter((column) => !mayBeMissing.includes(column) && !known.includes(column));
  return [
    ...missing.map((column) => ({ pointer: `/rows/1/${column}`, message: "this column is missing" })),
    ...header.flatMap((name, place) => {
      const pointer = `/rows/1/${pointerPart(name)}`;
      const column = known[place];
      if (column === undefined) return [{ pointer, message: `is not a column of this file; its columns are ${columns.join(", ")}` }];
      return known.indexOf(column) < place ? [{ pointer, message: "this column stands twice" }] : [];
    }),
  ];
}
