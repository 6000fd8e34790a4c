// Reading a CSV file of parts: what each row says of one.
import { daySchema, textSchema } from "../../shared/contracts/common.ts";
import { limits } from "../../shared/contracts/limits.ts";
import { partNumberSchema } from "../../shared/contracts/parts.ts";
import { decimalsOf, readAmount } from "../../shared/rules/money.ts";
import { partKey } from "../../shared/rules/part-prices.ts";
import { type CsvRow, type ProblemIssue, readCsvFile } from "../platform/index.ts";
import type { AskedPart } from "./rules.ts";

const columns = ["number", "name", "price", "fromDay"] as const;
type Column = (typeof columns)[number];
const file = { columns, mayBeMissing: ["price", "fromDay"], mostRows: 10_000, one: "part", many: "parts" } as const;

export interface PartFile {
  readonly parts: readonly AskedPart[];
  /** a row names a price */
  readonly isPriced: boolean;
  /** pointers are `/rows/<row>/<column>`, `/rows/<row>` or `/` */
  readonly issues: readonly ProblemIssue[];
}

/** Reads the file, row by row. A row without a price leaves prices as they are; one without a day means `today`. */
export async function readPartFile(text: string, currency: string | null, today: string): Promise<PartFile> {
  const read = await readCsvFile(text, file);
  const parts: AskedPart[] = [];
  const issues: ProblemIssue[] = [...read.issues];
  const seen = new Map<string, number>();
  let isPriced = false;
  for await (const line of read.rows) {
    const { part, wrong } = line.wrong === null ? readRow(line, currency, today) : { part: null, wrong: [["", line.wrong] as const] };
    const at = (column: string) => `/rows/${line.row}${column === "" ? "" : `/${column}`}`;
    issues.push(...wrong.map(([column, message]) => ({ pointer: at(column), message })));
    const key = line.wrong === null ? partKey(line.cell("number")) : "";
    const earlier = seen.get(key);
    if (key !== "" && earlier !== undefined) issues.push({ pointer: at("number"), message: `stands in row ${earlier} already` });
    if (key !== "" && earlier === undefined) seen.set(key, line.row);
    if (part) parts.push(part);
    isPriced ||= line.cell("price") !== "";
  }
  return { parts, isPriced, issues };
}

type Wrong = readonly [column: Column | "", message: string];

function readRow({ cell }: CsvRow<Column>, currency: string | null, today: string): { part: AskedPart | null; wrong: readonly Wrong[] } {
  const wrong: Wrong[] = [];
  const text = (column: "number" | "name", schema: typeof partNumberSchema, most: number): string => {
    if (cell(column) === "") wrong.push([column, "is empty"]);
    const read = schema.safeParse(cell(column));
    if (cell(column) !== "" && !read.success) wrong.push([column, `holds nothing to be known by, or more than ${most} characters`]);
    return read.data ?? "";
  };
  const number = text("number", partNumberSchema, limits.listedPartNumber);
  const name = text("name", textSchema(limits.partName), limits.partName);
  const fromDay = cell("fromDay") || today;
  if (!daySchema.safeParse(fromDay).success) wrong.push(["fromDay", "has to be a day as YYYY-MM-DD"]);
  if (cell("price") === "") {
    if (cell("fromDay") !== "") wrong.push(["price", "is empty, and a day is given from which it holds"]);
    return { part: wrong.length > 0 ? null : { number, name }, wrong };
  }
  if (currency === null) return { part: null, wrong };
  const amount = readAmount(cell("price"), decimalsOf(currency));
  if ("wrong" in amount) wrong.push(["price", whyNot(amount.wrong, currency)]);
  const priceMinor = "minor" in amount ? amount.minor : 0;
  return { part: wrong.length > 0 ? null : { number, name, price: { fromDay, priceMinor, currency } }, wrong };
}

function whyNot(wrong: "negative" | "decimals" | "too-large" | "not-a-number", currency: string): string {
  switch (wrong) {
    case "negative":
      return "is less than nothing";
    case "decimals":
      return `has more decimals than ${currency} has: ${decimalsOf(currency)}`;
    case "too-large":
      return "is too large for a price";
    case "not-a-number":
      return "has to be a number such as 12.50 or 12,50, without spaces, currency or a mark between thousands";
  }
}
