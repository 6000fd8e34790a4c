// Once for the whole run: a migrated, empty database as a template, so that each test file begins on a clean copy in a moment.
import { execFileSync } from "node:child_process";
import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { PGlite } from "@electric-sql/pglite";
import postgres from "postgres";
import type { TestProject } from "vitest/node";
import { embedded, openServer } from "../../src/platform/index.ts";

declare module "vitest" {
  export interface ProvidedContext {
    /** a file with the image of the embedded template, or the name of the template database on the server */
    template: { image: string } | { server: string; database: string };
  }
}

export default async function setUp(project: TestProject): Promise<() => Promise<void>> {
  // What is tested is what stands in src/web now; nothing to do where it was made before.
  execFileSync(process.execPath, [".config/build-pages.mjs"], { stdio: "inherit" });
  const server = process.env["TEST_DATABASE_URL"];
  return server ? onServer(project, server) : onEmbedded(project);
}

async function onEmbedded(project: TestProject): Promise<() => Promise<void>> {
  const folder = await mkdtemp(join(tmpdir(), "ferrule-tests-"));
  const lite = new PGlite();
  const db = embedded(lite, null);
  await db.migrate();
  const image = join(folder, "template.tar");
  await writeFile(image, Buffer.from(await (await lite.dumpDataDir("none")).arrayBuffer()));
  await db.close();
  project.provide("template", { image });
  return () => rm(folder, { recursive: true, force: true });
}

async function onServer(project: TestProject, server: string): Promise<() => Promise<void>> {
  const database = `ferrule_template_${process.pid}`;
  const admin = postgres(server, { max: 1, onnotice: () => undefined });
  await admin.unsafe(`DROP DATABASE IF EXISTS ${database}`);
  await admin.unsafe(`CREATE DATABASE ${database}`);
  const db = openServer(databaseAddress(server, database), 4, 30_000);
  await db.migrate();
  await db.close();
  project.provide("template", { server, database });
  return async () => {
    await admin.unsafe(`DROP DATABASE IF EXISTS ${database}`);
    await admin.end();
  };
}

const databaseAddress = (server: string, database: string): string => Object.assign(new URL(server), { pathname: `/${database}` }).href;
