// Every statement that the service makes when it is loaded, as lines of JSON: its text, where it is made, and what is declared of its
// columns; and every way of writing rows, which is a part of the statement that writes an act (src/acts/act-rows.ts).
// A process of its own, in which whatever makes one is heard.
import { readdirSync, readFileSync } from "node:fs";
import { register } from "node:module";
import { fileURLToPath } from "node:url";
import { z } from "zod";
import type { Statement } from "../../src/platform/index.ts";

/** A column as it is declared: of which type of zod's, and in which form. */
export interface DeclaredColumn {
  readonly type: string;
  readonly format: string | null;
  readonly nullable: boolean;
}

export interface DeclaredStatement {
  /** file and line where it is made */
  readonly at: string;
  readonly sql: string;
  /** null: nobody reads what it answers */
  readonly columns: Readonly<Record<string, DeclaredColumn>> | null;
}

/** A part of the statement that writes an act. */
export interface DeclaredPart {
  /** file and line where it is made */
  readonly at: string;
  /** as which it stands in that statement */
  readonly part: string;
}

const top = new URL("../../", import.meta.url);
const heard = "made-statements";
const listening = {
  "/database/statement.ts": `
    import * as real from "./statement.ts?itself";
    const heard = (one) => (globalThis["${heard}"](one), one);
    export const statement = (...given) => heard(real.statement(...given));
    export const command = (...given) => heard(real.command(...given));`,
  "/acts/act-rows.ts": `
    export { rowsThroughTheGate } from "./act-rows.ts?itself";
    import * as real from "./act-rows.ts?itself";
    const heard = (rowsOf) => (globalThis["${heard}"]({ part: rowsOf([]).written.name }), rowsOf);
    export const writtenBy = (...given) => heard(real.writtenBy(...given));
    export const insertedInto = (...given) => heard(real.insertedInto(...given));`,
};
register(
  `data:text/javascript,${encodeURIComponent(`
    const listening = ${JSON.stringify(listening)};
    export const load = (url, context, next) => {
      const end = Object.keys(listening).find((one) => url.endsWith(one));
      return end ? { format: "module", shortCircuit: true, source: listening[end] } : next(url, context);
    };`)}`,
);

/** The line of a file that its loading has come to, be it by way of a function that makes several alike. */
function madeAt(): string {
  const source = fileURLToPath(new URL("src/", top));
  const frames = [...(new Error().stack ?? "").matchAll(/\(([^()]+):(\d+):\d+\)/g)].map(([, file = "", line = ""]) => ({ file, line }));
  const own = frames.filter(({ file }) => file.startsWith(source) && !Object.keys(listening).some((end) => file.endsWith(end)));
  const at = own.findLast(({ file }) => file === own[0]?.file);
  if (!at) throw new Error("a statement is made in no file of the service");
  return `src/${at.file.slice(source.length)}:${at.line}`;
}

function columnOf(schema: unknown, nullable = false): DeclaredColumn {
  if (schema instanceof z.ZodNullable) return columnOf(schema.unwrap(), true);
  if (schema instanceof z.ZodReadonly) return columnOf(schema.unwrap(), nullable);
  if (!(schema instanceof z.ZodType)) throw new Error("a column is no schema");
  const { format } = Object(schema);
  return { type: schema.def.type, format: typeof format === "string" ? format : null, nullable };
}

type Made = { readonly at: string } & (Statement<unknown> | { readonly part: string });
const made: Made[] = [];
Object.assign(globalThis, { [heard]: (one: Statement<unknown> | { readonly part: string }) => made.push({ ...one, at: madeAt() }) });
for (const name of readdirSync(new URL("src/", top), { recursive: true, encoding: "utf8" }).sort()) {
  const file = new URL(`src/${name}`, top);
  if (name.endsWith(".ts") && /\b(statement|command|writtenBy|insertedInto)\b/.test(readFileSync(file, "utf8"))) await import(file.href);
}
for (const one of made) {
  if ("part" in one) {
    console.log(JSON.stringify(one satisfies DeclaredPart));
    continue;
  }
  const { at, sql, columns: declared } = one;
  const columns = declared && Object.fromEntries(Object.entries(declared).map(([column, schema]) => [column, columnOf(schema)]));
  console.log(JSON.stringify({ at, sql, columns } satisfies DeclaredStatement));
}
