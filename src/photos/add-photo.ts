// A photo from the field: validated, cleaned, stored, and attached to the records that wait for it.
import { createHash } from "node:crypto";
import type { PhotoReceipt } from "../../shared/contracts/photos.ts";
import type { AppContext } from "../acts/index.ts";
import { type Actor, afterwards, platformErrors } from "../platform/index.ts";
import { hangOn } from "./hang-photos.ts";
import { type PhotoStore, photoStoreOf } from "./photo-store.ts";
import { cleanPicture } from "./picture.ts";
import { findPhoto, insertPhoto, isEntry, machinesLackingPhoto, type PhotoRow } from "./store.ts";

const sha256 = (bytes: Uint8Array): string => createHash("sha256").update(bytes).digest("hex");

/**
 * Keeps a photo under the client's id. Throws `photo-refused` if it is no photo, `id-reused` if the id belongs to something else,
 * `photo-shelf-full`, `photo-shelf-away`.
 */
export async function addPhoto(
  context: AppContext,
  actor: Actor,
  { id, sent }: { readonly id: string; readonly sent: Buffer },
  store: PhotoStore = photoStoreOf(context),
): Promise<{ receipt: PhotoReceipt; repeated: boolean }> {
  const sentSha256 = sha256(sent);
  const sameAgain = (known: PhotoRow): PhotoRow => {
    if (known.addedBy === actor.staffId && known.sentSha256 === sentSha256) return known;
    throw idReused();
  };
  const before = await findPhoto(context.db, id);
  if (before) return hung(context, sameAgain(before), true);
  if (await isEntry(context.db, id)) throw idReused();

  const { bytes, type, widthPx, heightPx } = await cleanPicture(sent);
  const photo: PhotoRow = {
    ...{ id, sentSha256, type, widthPx, heightPx, sha256: sha256(bytes), bytes: bytes.length },
    ...{ addedBy: actor.staffId, addedAt: context.clock.now() },
  };
  // The bytes first, so that whatever the database knows is stored. Bytes without a row do no harm: they are found by their hash when sent again.
  await store.put(photo.sha256, bytes);
  if (await insertPhoto(context.db, photo)) {
    // The same bytes, of a photo that was forgotten, may just have been deleted: they are needed again now.
    if (!(await store.has(photo.sha256))) await store.put(photo.sha256, bytes);
    return hung(context, photo, false);
  }
  const first = await findPhoto(context.db, id);
  if (!first) throw new Error(`photo ${id} was there and is not`);
  return hung(context, sameAgain(first), true);
}

/**
 * Attaches the photo to the records that wait for it, also to those left waiting by a call that broke off, and returns the receipt. The photo
 * is stored by now; what fails here is made up for by `hangWaiting`.
 */
async function hung(context: AppContext, photo: PhotoRow, repeated: boolean): Promise<{ receipt: PhotoReceipt; repeated: boolean }> {
  await afterwards(context, "it was not hung on the records that name it", async () => {
    for (const machineId of await machinesLackingPhoto(context.db, photo.id)) await hangOn(context, photo.addedBy, machineId, photo);
  });
  return { receipt: receiptOf(photo), repeated };
}

export const receiptOf = ({ id, sha256: hash, type, widthPx, heightPx, bytes }: PhotoRow): PhotoReceipt => ({
  ...{ id, type, widthPx, heightPx, bytes },
  sha256: hash,
});

const idReused = (): Error =>
  platformErrors.problem(
    "id-reused",
    "This id stands for something else already. Make a new id for another photo; send the same bytes again to get the receipt.",
  );
