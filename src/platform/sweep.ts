// Removes files that nobody needs any more: half-written ones of a process that was killed, and expired ones.
import { readdir, rm, stat } from "node:fs/promises";
import { join } from "node:path";

/** Removes the files of a folder whose names have this ending and that were last written before `writtenBefore`; returns how many. 0 if there is no such folder. */
export async function sweep(folder: string, ending: string, writtenBefore: Date): Promise<number> {
  const names = await readdir(folder).catch(() => []);
  let swept = 0;
  for (const name of names.filter((one) => one.endsWith(ending))) {
    const file = join(folder, name);
    const found = await stat(file).catch(() => null);
    if (!found?.isFile() || found.mtime >= writtenBefore) continue;
    await rm(file, { force: true });
    swept += 1;
  }
  return swept;
}
