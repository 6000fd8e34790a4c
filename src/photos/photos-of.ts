import type { HungPhoto } from "../../shared/contracts/photos.ts";
import { groupBy } from "../../shared/group-by.ts";
import type { Database } from "../platform/index.ts";
import { receiptOf } from "./add-photo.ts";
import { awaitedBy, awaitedByEntries, findPhotosNamedBy, type PhotoRow, photosOfEntries } from "./store.ts";

interface PhotosOf {
  readonly photos: HungPhoto[];
  /** ids that are named and have not arrived */
  readonly photosAwaited: string[];
}

/** The photos of a defect or a fall that have arrived, with the address of each, and the ids of those that have not. */
export async function photosOf(db: Database, aboutId: string): Promise<PhotosOf> {
  const [found, photosAwaited] = await Promise.all([findPhotosNamedBy(db, aboutId, null), awaitedBy(db, aboutId, null)]);
  return { photos: found.map(hung), photosAwaited };
}

/** The same of each of several entries at once. */
export async function photosOfEach(db: Database, entryIds: readonly string[]): Promise<(entryId: string) => PhotosOf> {
  const [found, awaited] = await Promise.all([photosOfEntries(db, entryIds), awaitedByEntries(db, entryIds)]);
  const photos = groupBy(found, ({ entryId }) => entryId);
  const missing = groupBy(awaited, ({ entryId }) => entryId);
  return (entryId) => ({
    photos: (photos.get(entryId) ?? []).map(hung),
    photosAwaited: (missing.get(entryId) ?? []).map(({ photoId }) => photoId),
  });
}

const hung = (photo: PhotoRow): HungPhoto => ({
  ...receiptOf(photo),
  href: `/v1/photos/${photo.id}`,
  addedBy: photo.addedBy,
  addedAt: photo.addedAt.toISOString(),
});
