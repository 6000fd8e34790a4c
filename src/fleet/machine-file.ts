// Reading a CSV file of machines: every wrong row is named with the reason, so that the file can be put right in one go.
import { pipeline } from "node:stream/promises";
import { setImmediate as nextTurn } from "node:timers/promises";
import { CsvError, type Info, parse } from "csv-parse";
import { daySchema } from "../../shared/contracts/common.ts";
import { type ProblemIssue, pointerPart } from "../platform/index.ts";
import type { Entrant } from "./enter-fleet.ts";
import { readMark, readVin, type Understood } from "./rules.ts";

const columns = ["registrationMark", "model", "depot", "odometerKm", "inServiceFrom", "vin"] as const;
type Column = (typeof columns)[number];
const mayBeMissing: Column = "vin";
const mostRows = 10_000;
/** lines that hold nothing but separators count too; wholly blank ones cost nothing and do not */
const mostLines = 2 * mostRows;
const mostColumns = 100;
/** so much is read before other requests have their turn */
const pieceBytes = 1024;
const rowsInATurn = 200;
const mostKm = 2_000_000;

/** What the file is checked against. */
export interface FleetNames {
  /** names in Unicode's composed form to ids */
  readonly models: ReadonlyMap<string, string>;
  readonly depots: ReadonlyMap<string, string>;
  readonly seesDepot: (depotId: string) => boolean;
}

/** A row that was understood; `row` counts as a spreadsheet does, the header being row 1. */
export interface FileRow extends Entrant {
  readonly row: number;
}

export interface MachineFile {
  readonly rows: readonly FileRow[];
  /** pointers are `/rows/<row>/<column>`, `/rows/<row>` or `/` */
  readonly issues: readonly ProblemIssue[];
}

/**
 * Reads the file: UTF-8 with or without a mark at its beginning, commas or semicolons, any line ends. Other requests have their turn in
 * between.
 */
export async function readMachineFile(text: string, names: FleetNames): Promise<MachineFile> {
  const bare = text.replace(/^\uFEFF/, "");
  if (bare.includes("\uFFFD")) return refused("/", "is not in UTF-8: save it as 'CSV UTF-8'");
  const read = await readLines(bare);
  if (typeof read === "string") return refused("/", read);
  const [first = noHeader, ...filled] = read;
  // A spreadsheet's header is its first row, even where that is empty.
  const header = first.row === 1 ? first.cells : [];
  const headerIssues = checkHeader(header);
  if (headerIssues.length > 0) return { rows: [], issues: headerIssues };
  const places = new Map(header.map((name, place) => [asColumn(name), place]));
  if (filled.length === 0) return refused("/", "holds no machine");

  const rows: FileRow[] = [];
  const issues: ProblemIssue[] = [];
  const seen = new Map<string, number>();
  for (const [index, { cells, row }] of filled.entries()) {
    if (index % rowsInATurn === 0) await nextTurn();
    if (cells.length > header.length) {
      issues.push({ pointer: `/rows/${row}`, message: `has ${cells.length} cells where the header has ${header.length}` });
      continue;
    }
    const cell = (column: Column): string => cells[places.get(column) ?? -1] ?? "";
    const read = readRow(cell, names);
    issues.push(...read.issues.map(({ column, message }) => ({ pointer: `/rows/${row}/${column}`, message })));
    const earlier = read.mark === null ? undefined : seen.get(read.mark);
    if (earlier !== undefined) issues.push({ pointer: `/rows/${row}/registrationMark`, message: `stands in row ${earlier} already` });
    if (read.mark !== null && earlier === undefined) seen.set(read.mark, row);
    if (read.entrant) rows.push({ row, ...read.entrant });
  }
  return { rows, issues };
}

interface Line {
  readonly cells: readonly string[];
  readonly row: number;
}

const noHeader: Line = { cells: [], row: 1 };

/** The rows that hold something; or why the file cannot be read further, which ends the reading at once. */
async function readLines(text: string): Promise<Line[] | string> {
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
        wrong = tooMuch(lines, told);
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

function tooMuch(lines: readonly Line[], told: number): string | null {
  if (lines.length > mostRows + 1) return `holds more than ${mostRows} machines: split it`;
  if (told > mostLines + 1) return `holds more than ${mostLines} rows, most of them empty: take those out`;
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

const refused = (pointer: string, message: string): MachineFile => ({ rows: [], issues: [{ pointer, message }] });

/** Spreadsheets leave empty cells and rows behind where something once was, and spaces inside quotation marks. */
function withoutEmptyEnd(cells: readonly string[]): string[] {
  const trimmed = cells.map((cell) => cell.trim());
  return trimmed.slice(0, trimmed.findLastIndex((cell) => cell !== "") + 1);
}

const asColumn = (name: string): Column | undefined => columns.find((column) => column.toLowerCase() === name.toLowerCase());

function checkHeader(header: readonly string[]): ProblemIssue[] {
  const known = header.map(asColumn);
  const missing = columns.filter((column) => column !== mayBeMissing && !known.includes(column));
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

interface ReadRow {
  readonly mark: string | null;
  readonly entrant: Entrant | null;
  readonly issues: readonly { readonly column: Column; readonly message: string }[];
}

function readRow(cell: (column: Column) => string, names: FleetNames): ReadRow {
  const issues: { column: Column; message: string }[] = [];
  /** The value of a cell, or "" with an issue noted; the row becomes a machine only where there is no issue. */
  const take = (column: Column, read: (text: string) => Understood): string => {
    const text = cell(column);
    const result = text === "" ? { wrong: "is empty" } : read(text);
    if ("value" in result) return result.value;
    issues.push({ column, message: result.wrong });
    return "";
  };
  const named = (ids: ReadonlyMap<string, string>, what: string) => (name: string) => {
    const id = ids.get(name.normalize("NFC"));
    return id === undefined ? { wrong: `there is no ${what} of this name` } : { value: id };
  };

  const registrationMark = take("registrationMark", readMark);
  const modelId = take("model", named(names.models, "model"));
  const depotId = take("depot", named(names.depots, "depot"));
  if (depotId !== "" && !names.seesDepot(depotId)) issues.push({ column: "depot", message: "is not one of your depots" });
  const odometerKm = take("odometerKm", (text) =>
    /^\d{1,7}$/.test(text) && Number(text) <= mostKm ? { value: text } : { wrong: "has to be whole kilometres in digits only" },
  );
  const inServiceFrom = take("inServiceFrom", (text) =>
    daySchema.safeParse(text).success ? { value: text } : { wrong: "has to be a day as YYYY-MM-DD" },
  );
  const vin = cell("vin") === "" ? null : take("vin", readVin);
  return {
    mark: registrationMark === "" ? null : registrationMark,
    entrant: issues.length > 0 ? null : { registrationMark, modelId, depotId, odometerKm: Number(odometerKm), inServiceFrom, vin },
    issues,
  };
}
