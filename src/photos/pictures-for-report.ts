import type { AppContext, Moment } from "../acts/index.ts";
import { asSmallJpeg } from "./picture.ts";
import { bytesOf } from "./show-photo.ts";
import { awaitedBy, findPhotosNamedBy } from "./store.ts";

/** A photo as a report shows it. */
export interface ReportPicture {
  readonly sha256: string;
  readonly addedBy: string;
  readonly addedAt: Date;
  /** null where the bytes are gone, altered or out of reach: the report is not refused for it */
  readonly jpeg: { readonly bytes: Buffer; readonly widthPx: number; readonly heightPx: number } | null;
}

/** The first `most` photos of a defect or a fall as at the moment, no side longer than `sidePx`; how many there are in all, and how many have not arrived. */
export async function picturesForReport(
  context: AppContext,
  aboutId: string,
  { at, most, sidePx }: { readonly at: Moment; readonly most: number; readonly sidePx: number },
): Promise<{ pictures: ReportPicture[]; count: number; awaitedCount: number }> {
  const [found, awaited] = await Promise.all([findPhotosNamedBy(context.db, aboutId, at), awaitedBy(context.db, aboutId, at)]);
  const pictures: ReportPicture[] = [];
  for (const photo of found.slice(0, most)) {
    const { sha256, addedBy, addedAt } = photo;
    const jpeg = await bytesOf(context, photo)
      .then((bytes) => asSmallJpeg(bytes, sidePx))
      .catch((error: unknown) => {
        context.log.warn({ err: error, photoId: photo.id }, "a photo is missing on a paper");
        return null;
      });
    pictures.push({ sha256, addedBy, addedAt, jpeg });
  }
  return { pictures, count: found.length, awaitedCount: awaited.length };
}
