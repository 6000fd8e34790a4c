// Stores the bytes of photos by their hash, so that the same picture is stored once and an altered one is noticed. PhotoStore is the interface;
// here it is a folder, and an object store that several hosts share could implement it as well.
import { randomUUID } from "node:crypto";
import { access, mkdir, open as openFile, readdir, readFile, rename, rm, stat } from "node:fs/promises";
import { dirname, join } from "node:path";
import { type Config, sweep } from "../platform/index.ts";
import { photoErrors } from "./errors.ts";

export interface PhotoStore {
  /** Keeps bytes under their hash (hex), whole or not at all; does nothing if they are there already. Throws `photo-shelf-full`, `photo-shelf-away`. */
  put(sha256: string, bytes: Uint8Array): Promise<void>;
  /** The bytes; null if there are none under this hash. Throws `photo-shelf-away`. */
  get(sha256: string): Promise<Buffer | null>;
  has(sha256: string): Promise<boolean>;
  /**
   * Deletes the bytes if nobody needs them: they are moved aside, then `unwanted` is asked, and if it says no they are moved back. Returns
   * whether they were deleted; it is no error if there were none. Whoever stores bytes and then a row that needs them has to check once more that
   * they are there.
   */
  takeAway(sha256: string, unwanted: () => Promise<boolean>): Promise<boolean>;
  /** Deletes unfinished files begun before that moment, and moves back what an interrupted `takeAway` left aside; returns how many. */
  tidy(begunBefore: Date): Promise<number>;
}

/** The ending of a file that is moved aside and not deleted yet. */
const aside = ".aside";

/** Where photos are stored in the data folder. */
export const photoFolder = "photos";

/** The photo store of this installation. */
export const photoStoreOf = ({ config }: { readonly config: Pick<Config, "dataFolder"> }): PhotoStore =>
  photoFolderStore(join(config.dataFolder, photoFolder));

/** A photo store in a folder. `open` is the system's, unless a test wants a disk that is full. */
export function photoFolderStore(folder: string, open: typeof openFile = openFile): PhotoStore {
  const fileOf = (sha256: string): string => join(folder, sha256.slice(0, 2), sha256.slice(2));

  const write = async (draft: string, bytes: Uint8Array): Promise<void> => {
    const handle = await open(draft, "wx", 0o600);
    try {
      await handle.writeFile(bytes);
      await handle.sync();
    } finally {
      await handle.close();
    }
  };

  return {
    put: async (sha256, bytes) => {
      const file = fileOf(sha256);
      // In the same folder, so that the last step is only a rename.
      const draft = join(folder, `${randomUUID()}.part`);
      try {
        await mkdir(dirname(file), { recursive: true, mode: 0o700 });
        await write(draft, bytes);
        await rename(draft, file);
        await syncFolder(dirname(file));
      } catch (error) {
        await rm(draft, { force: true }).catch(() => undefined);
        throw trouble(error);
      }
    },
    get: (sha256) => readFile(fileOf(sha256)).catch(nullWhereMissing),
    has: async (sha256) => (await access(fileOf(sha256)).then(() => true, nullWhereMissing)) ?? false,
    tidy: async (begunBefore) => {
      let tidied = await sweep(folder, ".part", begunBefore);
      for (const name of (await readdir(folder).catch(() => [])).filter((one) => one.endsWith(aside))) {
        const found = await stat(join(folder, name)).catch(() => null);
        if (!found || found.ctime >= begunBefore) continue;
        await rename(join(folder, name), fileOf(name.slice(0, -aside.length)));
        tidied += 1;
      }
      return tidied;
    },
    takeAway: async (sha256, unwanted) => {
      const out = join(folder, `${sha256}${aside}`);
      const putBack = () => rename(out, fileOf(sha256));
      try {
        await rename(fileOf(sha256), out);
      } catch (error) {
        if (codeOf(error) === "ENOENT") return false;
        throw trouble(error);
      }
      try {
        if (await unwanted()) {
          await rm(out, { force: true });
          return true;
        }
      } catch (error) {
        await putBack();
        throw error;
      }
      await putBack();
      return false;
    },
  };
}

/** A new name survives a power cut once its folder is flushed; some systems cannot open folders, and need no flush. */
async function syncFolder(folder: string): Promise<void> {
  const handle = await openFile(folder, "r").catch(() => null);
  try {
    await handle?.sync();
  } catch (error) {
    if (codeOf(error) !== "EPERM" && codeOf(error) !== "EINVAL") throw error;
  } finally {
    await handle?.close();
  }
}

const codeOf = (error: unknown): string | undefined => (error as NodeJS.ErrnoException).code;

function nullWhereMissing(error: unknown): null {
  if (codeOf(error) === "ENOENT") return null;
  throw trouble(error);
}

function trouble(error: unknown): Error {
  const problem =
    codeOf(error) === "ENOSPC" || codeOf(error) === "EDQUOT"
      ? photoErrors.problem("photo-shelf-full", "The photo was not stored; the record that names it counts all the same. Tell the manager.")
      : photoErrors.problem("photo-shelf-away", "The photo could not be reached or stored. Try again; if it stays, tell the manager.");
  problem.cause = error;
  return problem;
}
