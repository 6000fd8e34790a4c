// Tables about the service itself: who may call what, what can go wrong, and the sheet versions. Printed by `npm run routes`, `npm run errors` and `npm run sheets`.
import { sheetSha256, sheetText, sheetVersions } from "./checks/index.ts";
import type { Route } from "./platform/index.ts";
import { allErrors, allRoutes } from "./rooms.ts";

const whoMay = ({ who }: Route): string => (typeof who === "string" ? who : who.join(", "));

/** Every route with its operation, who may call it and whose depot it is about, in the order of the rooms; columns aligned for reading. */
export function routeTable(): string {
  const rows = allRoutes.map((route) => [route.method, route.path, route.operationId, whoMay(route), route.whose.name] as const);
  const widths = [0, 1, 2, 3].map((column) => Math.max(...rows.map((row) => row[column]?.length ?? 0)));
  return rows.map((row) => row.map((cell, column) => cell.padEnd(widths[column] ?? 0)).join("  ")).join("\n");
}

/** The error catalogue as a Markdown table, by status and code. */
export function errorTable(): string {
  const rows = Object.entries(allErrors)
    .sort(([codeA, a], [codeB, b]) => a.status - b.status || (codeA < codeB ? -1 : 1))
    .map(([code, { status, title }]) => `| ${status} | \`${code}\` | ${title} |`);
  return ["| status | code | title |", "|---|---|---|", ...rows].join("\n");
}

/** Every sheet version with its hash; or, for one version, its document in canonical form, which is what is frozen and hashed. Throws RangeError for an unknown version. */
export function sheetTable(version?: string): string {
  if (version === undefined) return sheetVersions.map((one) => `${one}  ${sheetSha256(one)}`).join("\n");
  const text = sheetText(version);
  if (text === undefined) throw new RangeError(`no sheet version ${version}`);
  return text;
}
