// Every statement that the service makes when it is loaded, as lines of JSON: its text, and what is declared of its columns.
// A process of its own, in which whatever makes one is heard.
import { readdirSync, readFileSync } from "node:fs";
import { register } from "node:module";
import { z } from "zod";
import type { Statement } from "../../src/platform/index.ts";

/** A column as it is declared: of which type of zod's, and in which form. */
export interface DeclaredColumn {
  readonly type: string;
  readonly format: string | null;
  readonly nullable: boolean;
}

export interface DeclaredStatement {
  readonly sql: string;
  /** null: nobody reads what it answers */
  readonly columns: Readonly<Record<string, DeclaredColumn>> | null;
}

const top = new URL("../../", import.meta.url);
const heard = "made-statements";
const listening = `
  import * as real from "./statement.ts?itself";
  const made = (globalThis["${heard}"] ??= []);
  const heard = (one) => (made.push(one), one);
  export const statement = (...given) => heard(real.statement(...given));
  export const command = (...given) => heard(real.command(...given));`;
register(
  `data:text/javascript,${encodeURIComponent(`
    export const load = (url, context, next) => url.endsWith("/database/statement.ts")
      ? { format: "module", shortCircuit: true, source: ${JSON.stringify(listening)} } : next(url, context);`)}`,
);

function columnOf(schema: unknown, nullable = false): DeclaredColumn {
  if (schema instanceof z.ZodNullable) return columnOf(schema.unwrap(), true);
  if (schema instanceof z.ZodReadonly) return columnOf(schema.unwrap(), nullable);
  if (!(schema instanceof z.ZodType)) throw new Error("a column is no schema");
  const { format } = Object(schema);
  return { type: schema.def.type, format: typeof format === "string" ? format : null, nullable };
}

const made: Statement<unknown>[] = [];
Object.assign(globalThis, { [heard]: made });
for (const name of readdirSync(new URL("src/", top), { recursive: true, encoding: "utf8" }).sort()) {
  const file = new URL(`src/${name}`, top);
  if (name.endsWith(".ts") && /\b(statement|command)\(/.test(readFileSync(file, "utf8"))) await import(file.href);
}
for (const { sql, columns: declared } of made) {
  const columns = declared && Object.fromEntries(Object.entries(declared).map(([column, schema]) => [column, columnOf(schema)]));
  console.log(JSON.stringify({ sql, columns } satisfies DeclaredStatement));
}
