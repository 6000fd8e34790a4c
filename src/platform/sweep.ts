// Files that nobody will ask for again: what a process that was killed left half-written, and what has had its time.
import { readdir, rm, stat } from "node:fs/promises";
import { join } from "node:path";

/** Removes the files of a folder whose name ends so and that were not written to since; answers how many. A folder that there is not has none. */
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
