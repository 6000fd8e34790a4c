// What killed processes and past months leave in the data folder goes by itself, and nothing that is still wanted goes with it.
import { existsSync } from "node:fs";
import { mkdir, utimes, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { expect, test } from "vitest";
import { packDays, tidyPacks } from "../../src/audit/pack-files.ts";
import { keepForgetting } from "../../src/keeping/index.ts";
import { openTestApp } from "../support/app.ts";
import { testService } from "../support/test-service.ts";

const { app } = testService();

const dayMs = 86_400_000;

async function leave(name: string, daysOld: number): Promise<string> {
  const file = join(app.context.config.dataFolder, name);
  await mkdir(join(file, ".."), { recursive: true });
  await writeFile(file, "left");
  const at = new Date(app.context.clock.now().getTime() - daysOld * dayMs);
  await utimes(file, at, at);
  return file;
}

test("a pack goes after its days, a draft after one, a photo's draft too; younger ones and whole photos stay", async () => {
  const old = [
    await leave("packs/019f0000-0000-7000-8000-000000000001.zip", packDays + 0.1),
    await leave("packs/019f0000-0000-7000-8000-000000000002.worker.part", 1.1),
    await leave("photos/one.part", 1.1),
  ];
  const young = [
    await leave("packs/019f0000-0000-7000-8000-000000000003.zip", packDays - 0.1),
    await leave("packs/019f0000-0000-7000-8000-000000000004.worker.part", 0.9),
    await leave("photos/two.part", 0.9),
    await leave("photos/ab/cdef", 400),
  ];
  const stop = keepForgetting(app.context);
  await stop();
  expect(old.filter((file) => existsSync(file))).toEqual([]);
  expect(young.filter((file) => !existsSync(file))).toEqual([]);
});

test("a data folder without packs and photos is no fault", async () => {
  const empty = await openTestApp();
  try {
    expect(await tidyPacks(empty.context)).toBe(0);
  } finally {
    await empty.close();
  }
});
