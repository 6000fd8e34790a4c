// The drift check: what the migrations build is what schema.prisma says, by Prisma's own schema engine as WebAssembly.
// It does not see triggers, checks and partial indexes; tests/faults/records.test.ts tries those.
import { readFile } from "node:fs/promises";
import { createRequire } from "node:module";
import { fileURLToPath } from "node:url";
import { PGlite } from "@electric-sql/pglite";
import { bindMigrationAwareSqlAdapterFactory } from "@prisma/driver-adapter-utils";
import * as engineCode from "@prisma/schema-engine-wasm/schema_engine_bg";
import { PrismaPGlite } from "pglite-prisma-adapter";
import { afterAll, beforeAll, expect, test } from "vitest";
import { type Database, embedded } from "../../src/platform/index.ts";

const schemaFile = fileURLToPath(new URL("../../prisma/schema.prisma", import.meta.url));

let db: Database;
let engine: engineCode.SchemaEngine;
let schema: string;

beforeAll(async () => {
  schema = await readFile(schemaFile, "utf8");
  await startEngineCode();
  const lite = new PGlite();
  db = embedded(lite, null);
  await db.migrate();
  const adapter = bindMigrationAwareSqlAdapterFactory(new PrismaPGlite(lite) as never);
  engine = await engineCode.SchemaEngine.new({ datamodels: [[schemaFile, schema]] }, () => undefined, adapter);
});
afterAll(async () => {
  engine.free();
  await db.close();
});

test("the migrations build exactly what schema.prisma describes", async () => {
  expect(await sqlThatLacks(schema)).toBeNull();
});

test("a column that only schema.prisma has is noticed", async () => {
  const drifted = schema.replace("  vin              String?", "  vin              String?\n  colour String?");
  expect(await sqlThatLacks(drifted)).toContain('ADD COLUMN     "colour" TEXT');
});

test("a column whose kind or need differs is noticed", async () => {
  const drifted = schema.replace("  vin              String?", "  vin              Int");
  expect(await sqlThatLacks(drifted)).toContain('ADD COLUMN     "vin" INTEGER NOT NULL');
});

test("a table that only the migrations have is noticed", async () => {
  const drifted = schema
    .replace(/model PaperEnding \{[^}]+\}/, "")
    .replace("  endings     PaperEnding[]\n", "")
    .replace(/ {2}ending {5}PaperEnding\?\n/, "");
  expect(await sqlThatLacks(drifted)).toContain('DROP TABLE "paper_ending"');
});

/** The SQL that would bring the migrated database to this schema; null where there is none to run. */
async function sqlThatLacks(content: string): Promise<string | null> {
  const { exitCode, stdout } = await engine.diff({
    from: { tag: "schemaDatasource", files: [{ path: schemaFile, content: schema }], configDir: "." },
    to: { tag: "schemaDatamodel", files: [{ path: schemaFile, content }] },
    script: true,
    exitCode: true,
    filters: { externalTables: [], externalEnums: [] },
  });
  return exitCode === 0 ? null : stdout;
}

/** The package's own entry imports a .wasm file, which Node.js 20 cannot; so its two halves are put together here. */
async function startEngineCode(): Promise<void> {
  const entry = createRequire(import.meta.url).resolve("@prisma/schema-engine-wasm");
  const bytes = await readFile(entry.replace(/schema_engine\.js$/, "schema_engine_bg.wasm"));
  const { WebAssembly } = globalThis as unknown as { readonly WebAssembly: ModuleLoader };
  const { instance } = await WebAssembly.instantiate(bytes, { "./schema_engine_bg.js": engineCode });
  engineCode.__wbg_set_wasm(instance.exports);
  instance.exports.__wbindgen_start();
}

/** The part of WebAssembly used here; the types of Node.js 20 leave it out. */
interface ModuleLoader {
  instantiate(bytes: Buffer, imports: object): Promise<{ readonly instance: { readonly exports: { __wbindgen_start(): void } } }>;
}
