import { createHash } from "node:crypto";
import type { AppContext } from "../acts/index.ts";
import { type Actor, type Asking, idOf, platformErrors } from "../platform/index.ts";
import { photoErrors } from "./errors.ts";
import { photoStoreOf } from "./photo-store.ts";
import { maySee } from "./rules.ts";
import { findPhoto, type PhotoRow, recordsWithPhoto } from "./store.ts";

/** The photo at an address, for those who may see a record that it hangs on. */
export const photo: Asking<AppContext, PhotoRow> = {
  name: "photo",
  ask: ({ db }, actor, asked) => photoInView(db, actor, idOf(asked)),
};

/** Throws `not-found`, `other-depot`. */
async function photoInView(db: AppContext["db"], actor: Actor, id: string): Promise<PhotoRow> {
  const photo = await findPhoto(db, id);
  const sight = photo ? maySee(actor, photo.addedBy, await recordsWithPhoto(db, id)) : "no";
  if (!photo || sight === "no") throw platformErrors.problem("not-found", "There is no photo with this id.");
  if (sight === "other-depot")
    throw platformErrors.problem("other-depot", "Your depots do not include the one that this photo's record belongs to.");
  return photo;
}

/** The bytes as recorded. Throws `photo-gone` where they are no longer kept, `photo-altered` where others lie in their place. */
export async function bytesOf(context: AppContext, { sha256 }: Pick<PhotoRow, "sha256">): Promise<Buffer> {
  const bytes = await photoStoreOf(context).get(sha256);
  if (bytes === null) throw photoErrors.problem("photo-gone", "Its record stays, with the hash of what it showed.");
  if (createHash("sha256").update(bytes).digest("hex") !== sha256) {
    context.log.error({ sha256 }, "the bytes of a photo are not those that were recorded");
    throw photoErrors.problem(
      "photo-altered",
      "Its bytes were changed since they were recorded. Tell the manager: the disk or somebody did it.",
    );
  }
  return bytes;
}
