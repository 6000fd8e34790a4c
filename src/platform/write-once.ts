// Files of the data folder that are made once and then stay.
import { randomUUID } from "node:crypto";
import { link, mkdir, open, readFile, rename, rm } from "node:fs/promises";
import { dirname } from "node:path";

/** What the file says; null where there is none. */
export async function readIfThere(file: string): Promise<string | null> {
  try {
    return await readFile(file, "utf8");
  } catch (error) {
    // Nothing lies in what is no folder either; whoever writes there is told.
    if (["ENOENT", "ENOTDIR"].includes((error as NodeJS.ErrnoException).code ?? "")) return null;
    throw error;
  }
}

/**
 * Writes the file whole or not at all, for its owner only; where another process was first, what it wrote stays. Throws one sentence for
 * whoever named the folder.
 */
export async function writeOnce(file: string, text: string): Promise<void> {
  try {
    await write(file, text);
  } catch (error) {
    throw notWritable(dirname(file), error);
  }
}

/** What is said of a data folder in which nothing can be made. */
export function notWritable(folder: string, cause: unknown): Error {
  const { code = String(cause) } = cause as NodeJS.ErrnoException;
  return new Error(
    `Nothing can be written to the data folder ${folder} (${code}). Name one in FERRULE_DATA that the service may write to and that has room.`,
    {
      cause,
    },
  );
}

async function write(file: string, text: string): Promise<void> {
  await mkdir(dirname(file), { recursive: true, mode: 0o700 });
  const draft = `${file}.${randomUUID()}`;
  const handle = await open(draft, "wx", 0o600);
  try {
    await handle.writeFile(text);
    await handle.sync();
  } finally {
    await handle.close();
  }
  try {
    // A link fails where the name is taken, which a rename does not.
    await link(draft, file);
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    // Some file systems know no links; there the rename has to do.
    if (code !== "EEXIST") return rename(draft, file);
  }
  await rm(draft, { force: true });
}
