// A month of entries as a file: NDJSON for whoever computes the hashes anew, CSV for whoever reads them in a spreadsheet.
import { stringify } from "csv-stringify/sync";
import { type Language, word } from "../../shared/words/index.ts";
import { recordLine, sentenceOf } from "../ledger/index.ts";
import { type Called, inShort } from "./in-short.ts";
import type { RecordRow } from "./record-store.ts";

export type RecordFormat = "ndjson" | "csv";
type Batches = AsyncIterable<readonly RecordRow[]>;

/** The file's text, piece by piece: nothing is read before it is asked for. */
export const recordFile = (format: RecordFormat, batches: Batches, called: Called, language: Language): AsyncGenerator<string> =>
  format === "ndjson" ? ndjson(batches) : csv(batches, called, language);

async function* ndjson(batches: Batches): AsyncGenerator<string> {
  for await (const batch of batches) yield batch.map((row) => `${recordLine(row)}\n`).join("");
}

/** What it says in short; and who had set the secret of the one who signed it, where that was within the day before. */
function what({ kind, data, secretSetAt, secretSetByNumber }: RecordRow, called: Called, language: Language): string {
  const said = inShort(kind, data, called, language);
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

/** RFC 4180 with its line ends; the byte order mark tells a spreadsheet that it is UTF-8; what would be a formula begins with an apostrophe. */
async function* csv(batches: Batches, called: Called, language: Language): AsyncGenerator<string> {
  const write = (rows: readonly (readonly string[])[]): string =>
    stringify([...rows], { record_delimiter: "windows", escape_formulas: true });
  yield `\ufeff${write([columns.map(({ key }) => key)])}`;
  for await (const batch of batches) yield write(batch.map((row) => columns.map(({ of }) => of(row, called, language))));
}
