import type { AppContext, Moment } from "../acts/index.ts";
import { namesOf } from "../people/index.ts";
import { picturesForReport } from "../photos/index.ts";
import { personIn } from "./collect-frame.ts";
import type { PhotosOnReport } from "./photo-blocks.ts";

// Two pages of photos, at some 200 pixels an inch.
const mostPhotos = 12;
const photoSidePx = 800;

/** The photos of a defect or a fall as at a moment. */
export async function collectPhotos(context: AppContext, aboutId: string, at: Moment): Promise<PhotosOnReport> {
  const { pictures, count, awaitedCount } = await picturesForReport(context, aboutId, { at, most: mostPhotos, sidePx: photoSidePx });
  const people = await namesOf(
    context.db,
    pictures.map(({ addedBy }) => addedBy),
  );
  const shown = pictures.map(({ sha256, addedBy, addedAt, jpeg }) => ({ sha256, at: addedAt, by: personIn(people, addedBy), jpeg }));
  return { shown, count, awaitedCount };
}
