import type { HungPhoto } from "../../shared/contracts/photos.ts";
import type { Database } from "../platform/index.ts";
import { receiptOf } from "./add-photo.ts";
import { awaitedBy, findPhotosNamedBy } from "./store.ts";

/** The photos of a defect or a fall that have arrived, with the address of each, and the ids of those that have not. */
export async function photosOf(db: Database, aboutId: string): Promise<{ photos: HungPhoto[]; photosAwaited: string[] }> {
  const [found, photosAwaited] = await Promise.all([findPhotosNamedBy(db, aboutId, null), awaitedBy(db, aboutId, null)]);
  const photos = found.map((photo) => ({
    ...receiptOf(photo),
    href: `/v1/photos/${photo.id}`,
    addedBy: photo.addedBy,
    addedAt: photo.addedAt.toISOString(),
  }));
  return { photos, photosAwaited };
}
