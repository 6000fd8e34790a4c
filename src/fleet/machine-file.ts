// Reading a CSV file of machines: what each row says of one.
import { daySchema } from "../../shared/contracts/common.ts";
import { type ProblemIssue, readCsvFile } from "../platform/index.ts";
import type { Entrant } from "./enter-fleet.ts";
import { readMark, readVin, type Understood } from "./rules.ts";

const columns = ["registrationMark", "model", "depot", "odometerKm", "inServiceFrom", "vin"] as const;
type Column = (typeof columns)[number];
const file = { columns, mayBeMissing: ["vin"], mostRows: 10_000, one: "machine", many: "machines" } as const;
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

/** Reads the file, row by row. */
export async function readMachineFile(text: string, names: FleetNames): Promise<MachineFile> {
  const read = await readCsvFile(text, file);
  const rows: FileRow[] = [];
  const issues: ProblemIssue[] = [...read.issues];
  const seen = new Map<string, number>();
  for await (const { row, cell, wrong } of read.rows) {
    if (wrong !== null) {
      issues.push({ pointer: `/rows/${row}`, message: wrong });
      continue;
    }
    const understood = readRow(cell, names);
    const { mark } = understood;
    issues.push(...understood.issues.map(({ column, message }) => ({ pointer: `/rows/${row}/${column}`, message })));
    const earlier = mark === null ? undefined : seen.get(mark);
    if (earlier !== undefined) issues.push({ pointer: `/rows/${row}/registrationMark`, message: `stands in row ${earlier} already` });
    if (mark !== null && earlier === undefined) seen.set(mark, row);
    if (understood.entrant) rows.push({ row, ...understood.entrant });
  }
  return { rows, issues };
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
