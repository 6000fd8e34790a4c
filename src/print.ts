// `npm run routes` and `npm run errors`.
import { errorTable, routeTable } from "./tables.ts";

const tables: Readonly<Record<string, () => string>> = { routes: routeTable, errors: errorTable };
const table = tables[process.argv[2] ?? ""];
if (!table) throw new Error(`Name a table: ${Object.keys(tables).join(" or ")}.`);
console.log(table());
