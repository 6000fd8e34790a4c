import { createHash } from "node:crypto";
import type { AppContext } from "../acts/index.ts";
import { type Actor, platformErrors } from "../platform/index.ts";
import { photoErrors } from "./errors.ts";
import { photoStoreOf } from "./photo-store.ts";
import { maySee } from "./rules.ts";
import { findPhoto, type PhotoRow, recordsWithPhoto } from "./store.ts";

/** A photo with its bytes. Throws `not-found`, `other-depot`, `photo-gone`, `photo-altered`, `photo-shelf-away`. */
export async function showPhoto(context: AppContext, actor: Actor, id: string): Promise<{ photo: PhotoRow; bytes: Buffer }> {
  const photo = await findPhoto(context.db, id);
  const sight = photo ? maySee(actor, photo.addedBy, await recordsWithPhoto(context.db, id)) : "no";
  if (!photo || sight === "no") throw platformErrors.problem("not-found", "There is no photo with this id.");
  if (sight === "other-depot")
    throw platformErrors.problem("other-depot", "Your depots do not include the one that this photo's record belongs to.");
  return { photo, bytes: await bytesOf(context, photo) };
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
