// Costs as a CSV file for a spreadsheet: RFC 4180, amounts in whole units with a point, what could be taken for a formula defused.
import { stringify } from "csv-stringify/sync";
import type { CostLine, CostsAnswer } from "../../shared/contracts/costs.ts";
import { unknownKinds } from "../../shared/rules/costs.ts";
import { decimalsOf, inUnits } from "../../shared/rules/money.ts";
import { defused } from "../reports/index.ts";

export function costsFile({ rows, by, currency }: CostsAnswer): string {
  const money = (minor: number | null): string => (minor === null || currency === null ? "" : inUnits(minor, decimalsOf(currency)));
  const cells = (line: CostLine): string[] => [
    ...[line.name, line.modelName ?? "", String(line.machines), currency ?? ""],
    ...[line.partsMinor, line.labourMinor, line.outsideMinor, line.totalMinor].map(money),
    line.isAtLeast ? "at least" : "",
    ...[line.km === null ? "" : String(line.km), String(line.machinesWithoutKm), money(line.perThousandKmMinor)],
    ...[line.repairs, line.stays, line.pricedLater].map(String),
    ...unknownKinds.map((why) => String(line.unknown[why])),
  ];
  const head = [
    ...[by, "modelName", "machines", "currency", "parts", "labour", "outside", "total", "known"],
    ...["km", "machinesWithoutKm", "perThousandKm", "repairs", "stays", "pricedLater", ...unknownKinds],
  ];
  const table = [head, ...rows.map((line) => cells(line).map(defused))];
  return `\ufeff${stringify(table, { record_delimiter: "windows", quoted_match: /[;\t|]/ })}`;
}
