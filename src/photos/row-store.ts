// Which entry names which photo: rows that are written with the act of the entry.
import { insertedInto } from "../acts/index.ts";

/** An entry that names a photo, whether or not the photo is there yet. */
export interface PhotoUseRow {
  readonly photoId: string;
  readonly entryId: string;
  readonly machineId: string;
  readonly defectId: string | null;
  readonly staffId: string;
}

export const photoUseRows = insertedInto<PhotoUseRow>("photo_use");
