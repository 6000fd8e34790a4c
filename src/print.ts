// `npm run routes`, `npm run errors` and `npm run sheets`.
import { errorTable, routeTable, sheetTable } from "./tables.ts";

const tables: Readonly<Record<string, () => string>> = {
  routes: routeTable,
  errors: errorTable,
  sheets: () => sheetTable(process.argv[3]),
};
const table = tables[process.argv[2] ?? ""];
if (!table) throw new Error(`Name a table: ${Object.keys(tables).join(" or ")}.`);
console.log(table());
