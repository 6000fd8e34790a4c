// Files of the data folder that are made once and then stay.
import { randomUUID } from "node:crypto";
import { link, mkdir, open, readFile, rename, rm } from "node:fs/promises";
import { dirname } from "node:path";

/** What the file says; null where there is none. */
export async function readIfThere(file: string): Promise<string | null> {
  try {
    return await readFile(file, "utf8");
  } catch (error) {
    // ENOTDIR: the path leads through a file, so nothing is there either; writing there will report it.
    if (["ENOENT", "ENOTDIR"].includes((error as NodeJS.ErrnoException).code ?? "")) return null;
    throw error;
  }
}

/**
 * Writes the file whole or not at all, readable by its owner only; if another process was first, its file stays. Throws one sentence for whoever
 * set the folder.
 */
export async function writeOnce(file: string, text: string): Promise<void> {
  try {
    await write(file, text);
  } catch (error) {
    throw notWritable(dirname(file), error);
  }
}

/** The error for a data folder in which no file can be created. */
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
    // Some file systems have no hard links; there a rename has to do.
    if (code !== "EEXIST") return rename(draft, file);
  }
  await rm(draft, { force: true });
}
