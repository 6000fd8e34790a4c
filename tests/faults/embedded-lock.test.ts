import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { expect, test } from "vitest";
import { lockFolder } from "../../src/platform/folder-lock.ts";

test("a data folder in use is refused to a second owner, and free again once it is released", async () => {
  const folder = await mkdtemp(join(tmpdir(), "ferrule-lock-"));
  const release = await lockFolder(folder);
  await expect(lockFolder(folder)).rejects.toThrow(/Another Ferrule process/);
  await release();
  const again = await lockFolder(folder);
  await again();
  await rm(folder, { recursive: true });
});
