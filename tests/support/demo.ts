// The demo firm with all its thirteen weeks: told once in a run, and each file that asks for it begins on a copy of its own.
import { existsSync } from "node:fs";
import { mkdir, rm, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { setTimeout as pause } from "node:timers/promises";
import postgres from "postgres";
import { inject } from "vitest";
import { foundDemoFirm } from "../../seeds/index.ts";
import { type Database, embedded, openServer } from "../../src/platform/index.ts";
import { checkedRows } from "./checked-rows.ts";
import { openTestContext, type TestContext } from "./context.ts";
import { openInMemory, openTestDatabase } from "./database.ts";

/** A Wednesday at noon in the zones of both depots. */
export const demoNoon = "2026-11-25T12:00:00.000Z";

/** Opens a context in which the demo firm was founded at `demoNoon`. */
export async function openDemoContext(): Promise<TestContext> {
  return openTestContext(demoNoon, {}, await openTestDatabase({ like: await demoTemplate() }));
}

/** The template of the founded firm; whoever comes first makes it, and the others wait. */
async function demoTemplate(): Promise<string> {
  const template = inject("template");
  const name = "image" in template ? join(template.run, "demo.tar") : `${template.database}_demo`;
  const [lock, made] = [join(template.run, "demo.lock"), join(template.run, "demo.made")];
  for (;;) {
    if (existsSync(made)) return name;
    const isOurs = await mkdir(lock).then(
      () => true,
      () => false,
    );
    if (isOurs) break;
    await pause(100);
  }
  try {
    if (!existsSync(made)) {
      await ("image" in template ? foundEmbedded(template.image, name) : foundOnServer(template.server, template.database, name));
      await writeFile(made, "");
    }
  } finally {
    await rm(lock, { recursive: true });
  }
  return name;
}

async function foundIn(db: Database): Promise<void> {
  await foundDemoFirm(await openTestContext(demoNoon, {}, checkedRows(db)));
}

async function foundEmbedded(empty: string, file: string): Promise<void> {
  const lite = await openInMemory(empty);
  const db = embedded(lite, null);
  await foundIn(db);
  await writeFile(file, Buffer.from(await (await lite.dumpDataDir("none")).arrayBuffer()));
  await db.close();
}

async function foundOnServer(server: string, empty: string, name: string): Promise<void> {
  const admin = postgres(server, { max: 1, onnotice: () => undefined });
  await admin.unsafe(`DROP DATABASE IF EXISTS ${name}`);
  await admin.unsafe(`CREATE DATABASE ${name} TEMPLATE ${empty}`);
  await admin.end();
  const db = openServer(Object.assign(new URL(server), { pathname: `/${name}` }).href, 8, 30_000);
  await foundIn(db);
  await db.close();
}
