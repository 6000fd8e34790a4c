// The database recognises its data folder by an id in it: otherwise the service would start on a wrong or empty folder and answer that photos
// are gone.
import { existsSync } from "node:fs";
import { join } from "node:path";
import { z } from "zod";
import type { AppContext } from "../acts/index.ts";
import { readIfThere, writeOnce } from "../platform/index.ts";
import { photoFolder } from "./photo-store.ts";
import { insertFolder, knowsPhotos, readFolders } from "./store.ts";

/**
 * Throws one sentence if the database has photos and this is not one of their folders, unless `giveUp` names the missing one. A folder that is
 * accepted is remembered.
 */
export async function knowFolder({ config, db, clock, newId }: AppContext): Promise<void> {
  const file = join(config.dataFolder, "folder-id");
  const found = await readIfThere(file);
  const known = await readFolders(db);
  if (found !== null && known.includes(found.trim())) return;
  const [last] = known;
  if ((last !== undefined || !existsSync(join(config.dataFolder, photoFolder))) && (await knowsPhotos(db))) {
    const missed = last ?? photoFolder;
    if (!config.giveUp.includes(missed)) throw new Error(notThatFolder(config.dataFolder, missed));
  }
  if (found === null) await writeOnce(file, `${newId()}\n`);
  const id = z.uuid().safeParse((await readIfThere(file))?.trim());
  if (!id.success) throw new Error(`${file} holds no id; restore it from the backup of the data folder.`);
  await insertFolder(db, id.data, clock.now());
}

const notThatFolder = (folder: string, missed: string): string =>
  `The data folder ${folder} is not the one in which the photos of this database lie; name that one in FERRULE_DATA, or restore it from its backup (where it is lost for good, start once with FERRULE_GIVE_UP=${missed}).`;
