// Whether the rows of records.csv are the lines of records.ndjson: one a record, in the same order, with what both have.
import { createHash } from "node:crypto";
import { Readable } from "node:stream";
import { CsvError, parse } from "csv-parse";
import { defused } from "../reports/index.ts";
import { Fault, textOf } from "./fault.ts";
import type { Name } from "./verify-names.ts";

const header = ["recordedAt", "performedAt", "kind", "sentence", "machine", "staffNumber", "name", "depot", "what", "sha256", "id"];
const byteOrderMark = "\ufeff";
/** Words for readers, which were made from the record when the pack was made. */
const words: ReadonlySet<string> = new Set(["sentence", "what"]);
const ofNames: ReadonlySet<string> = new Set(["machine", "staffNumber", "name", "depot"]);

interface Record {
  readonly recordedAt: string;
  readonly performedAt: string;
  readonly kind: string;
  readonly sha256: string;
  readonly id: string;
}

/** The names of what a record refers to; undefined if the list lacks one, null if the record refers to none. */
type Called = Readonly<{ [Which in "machine" | "person" | "depot"]: Name | null | undefined }>;

const isHeader = ([first, ...others]: readonly string[]): boolean =>
  digestOf([first ?? "", ...others]) === digestOf([byteOrderMark + header[0], ...header.slice(1)]);

const digestOf = (cells: readonly string[]): string => createHash("sha256").update(JSON.stringify(cells)).digest("base64");

export class Rows {
  readonly #columns: readonly number[];
  /** a hash for each row of what it has to say: a month has too many rows to keep them whole */
  readonly #expected: string[] = [];

  /** `named`: the pack says what its ids were called. */
  constructor(named: boolean) {
    this.#columns = header.flatMap((name, at) => (words.has(name) || (!named && ofNames.has(name)) ? [] : [at]));
  }

  expect({ recordedAt, performedAt, kind, sha256, id }: Record, names: Called | null): void {
    const called = [names?.machine?.called, names?.person?.number, names?.person?.called, names?.depot?.called];
    const row = [recordedAt, performedAt, kind, "", ...called.map((one) => one ?? ""), "", sha256, id];
    this.#expected.push(digestOf(this.#columns.map((at) => defused(row[at] ?? ""))));
  }

  /** Throws a fault that names the first row that is not as the record has it. */
  async compare(csv: Readable): Promise<void> {
    const faultAt = (number: number): Fault => new Fault("audit.why.row", { number });
    let number = 0;
    try {
      const text = Readable.from(textOf(csv, "records.csv"));
      const reader = text.pipe(parse({ record_delimiter: "\r\n", relax_column_count: false }));
      text.once("error", (error) => reader.destroy(error));
      for await (const row of reader as AsyncIterable<string[]>) {
        const isRight = number === 0 ? isHeader(row) : this.#isExpected(number, row);
        if (!isRight) throw faultAt(number);
        number += 1;
      }
    } catch (error) {
      throw error instanceof CsvError ? faultAt(number) : error;
    }
    if (number !== this.#expected.length + 1) throw faultAt(number);
  }

  #isExpected(number: number, row: readonly string[]): boolean {
    return row.length === header.length && digestOf(this.#columns.map((at) => row[at] ?? "")) === this.#expected[number - 1];
  }
}
