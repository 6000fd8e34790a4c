// A month of entries as a file: NDJSON for whoever recomputes the hashes, CSV for whoever reads them in a spreadsheet.
import { stringify } from "csv-stringify/sync";
import { type Language, word } from "../../../shared/words/index.ts";
import { type Called, inShort, recordLine, sentenceOf } from "../../ledger/index.ts";
import type { RecordRow } from "./record-store.ts";

export type RecordFormat = "ndjson" | "csv";
type Batches = AsyncIterable<readonly RecordRow[]>;

/** The file's text, piece by piece; entries are read only as the text is consumed. */
export const recordFile = (format: RecordFormat, batches: Batches, called: Called, language: Language): AsyncGenerator<string> =>
  format === "ndjson" ? ndjson(batches) : csv(batches, called, language);

async function* ndjson(batches: Batches): AsyncGenerator<string> {
  for await (const batch of batches) yield batch.map((row) => `${recordLine(row)}\n`).join("");
}

/** What it says in short; and who had set the secret of the one who signed it, where that was within the day before. */
function what(row: RecordRow, called: Called, language: Language): string {
  const { secretSetAt, secretSetByNumber } = row;
  const said = inShort(row, called, language);
  if (!secretSetAt) return said;
  const set = word("record.secret-set", language, {
    at: secretSetAt.toISOString(),
    by: secretSetByNumber ?? word("record.by-the-service", language),
  });
  return said === "" ? set : `${said} ${set}`;
}

// biome-ignore format: a column a line
const columns: readonly { readonly key: string; readonly of: (row: RecordRow, called: Called, language: Language) => string }[] = [
  { key: "recordedAt", of: ({ recordedAt }) => recordedAt.toISOString() },
  { key: "performedAt", of: ({ performedAt }) => performedAt.toISOString() },
  { key: "kind", of: ({ kind }) => kind },
  { key: "sentence", of: ({ kind }) => sentenceOf(kind) },
  { key: "machine", of: ({ machineMark }) => machineMark ?? "" },
  { key: "staffNumber", of: ({ staffNumber }) => staffNumber ?? "" },
  { key: "name", of: ({ staffName }) => staffName ?? "" },
  { key: "depot", of: ({ depotName }) => depotName ?? "" },
  { key: "what", of: what },
  { key: "sha256", of: ({ sha256 }) => sha256 },
  { key: "id", of: ({ id }) => id },
];

// The characters that turn a cell into a formula (full-width ones too), wherever a program may see a cell begin: at its beginning, after any line
// break, and after the separators that spreadsheets of other countries use, which ignore quotation marks in the middle of a cell.
const formulaBegins =
  /^(?=[\t\r]|\s*[=+\-@\uff0b\uff0d\uff1d\uff20])|(?<=[\n\r\v\f\u0085\u2028\u2029;\t|])(?=\s*[=+\-@\uff0b\uff0d\uff1d\uff20])/g;

/** The text with an apostrophe before whatever a spreadsheet would take for a formula. */
export const defused = (text: string): string => text.replace(formulaBegins, "'");

/** RFC 4180 with its line ends; the byte order mark tells a spreadsheet that it is UTF-8; cells that hold a line break of any kind are in quotes. */
async function* csv(batches: Batches, called: Called, language: Language): AsyncGenerator<string> {
  const write = (rows: readonly (readonly string[])[]): string =>
    stringify([...rows], { record_delimiter: "windows", quoted_match: /[\n\r\v\f\u0085\u2028\u2029;\t|]/ });
  yield `\ufeff${write([columns.map(({ key }) => key)])}`;
  for await (const batch of batches) yield write(batch.map((row) => columns.map(({ of }) => defused(of(row, called, language)))));
}
