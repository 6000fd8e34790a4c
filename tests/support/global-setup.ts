// Once for the whole run: a migrated, empty database as a template, so that each test file begins on a clean copy in a moment.
import { execFileSync } from "node:child_process";
import { createHash } from "node:crypto";
import { existsSync } from "node:fs";
import { cp, mkdir, mkdtemp, readdir, readFile, rename, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { PGlite } from "@electric-sql/pglite";
import postgres from "postgres";
import type { TestProject } from "vitest/node";
import { embedded, openServer } from "../../src/platform/index.ts";

declare module "vitest" {
  export interface ProvidedContext {
    /** the file with the image of the embedded template, or the template database on the server; and a folder of this run's own */
    template:
      | { readonly run: string; readonly image: string }
      | { readonly run: string; readonly server: string; readonly database: string };
  }
}

export default async function setUp(project: TestProject): Promise<() => Promise<void>> {
  // What is tested is what stands in src/web now; nothing to do where it was made before.
  execFileSync(process.execPath, [".config/build-pages.mjs"], { stdio: "inherit" });
  const run = await mkdtemp(join(tmpdir(), "ferrule-tests-"));
  const server = process.env["TEST_DATABASE_URL"];
  const remove = server ? await onServer(project, server, run) : await onEmbedded(project, run);
  return async () => {
    await remove();
    await rm(run, { recursive: true, force: true });
  };
}

const top = new URL("../../", import.meta.url).pathname;

/** Of all that an empty database is made of: the migrations, the embedded database itself, and what makes it slim. */
async function hashOfSchema(): Promise<string> {
  const hash = createHash("sha256")
    .update(await readFile(join(top, "node_modules/@electric-sql/pglite/package.json")))
    .update(slimming.join());
  const folder = join(top, "prisma/migrations");
  for (const name of (await readdir(folder)).sort()) {
    const file = join(folder, name, "migration.sql");
    if (existsSync(file)) hash.update(name).update(await readFile(file));
  }
  return hash.digest("hex").slice(0, 16);
}

/** Migrating takes seconds, so the empty database of these migrations is kept for the next run. */
async function onEmbedded(project: TestProject, run: string): Promise<() => Promise<void>> {
  const kept = join(top, "node_modules/.cache/ferrule");
  const file = `template-${await hashOfSchema()}.tar`;
  if (!existsSync(join(kept, file))) {
    await writeFile(join(run, file), await emptyDatabase());
    await mkdir(kept, { recursive: true });
    for (const older of await readdir(kept)) if (older.startsWith("template-")) await rm(join(kept, older), { force: true });
    // Copied beside it first, and then named: another run never finds half a file.
    await cp(join(run, file), join(kept, `${file}.${process.pid}`));
    await rename(join(kept, `${file}.${process.pid}`), join(kept, file));
  }
  // A run of its own copy: another version's run may put its template in the place of this one.
  await cp(join(kept, file), join(run, "template.tar"));
  project.provide("template", { run, image: join(run, "template.tar") });
  return async () => undefined;
}

/**
 * What makes each copy quick to open, once the migrations are in: the memory for pages is filled with zeros at each start, 128 MB of it by
 * default, and the two databases that new ones would be made from are files to unpack that nothing reads.
 */
const slimming = [
  "ALTER SYSTEM SET shared_buffers = '16MB'",
  "UPDATE pg_database SET datistemplate = false, datallowconn = true WHERE datname IN ('template0', 'template1')",
  "DROP DATABASE template0",
  "DROP DATABASE template1",
  "CHECKPOINT",
];

async function emptyDatabase(): Promise<Buffer> {
  const lite = new PGlite();
  const db = embedded(lite, null);
  await db.migrate();
  for (const one of slimming) await lite.exec(one);
  const image = Buffer.from(await (await lite.dumpDataDir("none")).arrayBuffer());
  await db.close();
  return image;
}

async function onServer(project: TestProject, server: string, run: string): Promise<() => Promise<void>> {
  const database = `ferrule_template_${process.pid}`;
  const admin = postgres(server, { max: 1, onnotice: () => undefined });
  const drop = async (): Promise<void> => {
    for (const name of [database, `${database}_demo`]) await admin.unsafe(`DROP DATABASE IF EXISTS ${name}`);
  };
  await drop();
  await admin.unsafe(`CREATE DATABASE ${database}`);
  const db = openServer(databaseAddress(server, database), 4, 30_000);
  await db.migrate();
  await db.close();
  project.provide("template", { run, server, database });
  return async () => {
    await drop();
    await admin.end();
  };
}

const databaseAddress = (server: string, database: string): string => Object.assign(new URL(server), { pathname: `/${database}` }).href;
