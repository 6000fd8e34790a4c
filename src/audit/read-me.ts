// The page of a pack that says what is in it, how to check it, and what it does not prove.
import type { AuditPack } from "../../shared/contracts/audit.ts";
import { word } from "../../shared/words/index.ts";

/** What a pack is about. */
export type PackAbout = Pick<AuditPack, "id" | "month" | "depotId" | "photos" | "requestedBy">;

/** How many photos the pack's records name, and how many of them are in it. */
export interface PhotosAdded {
  readonly named: number;
  readonly added: number;
}

interface PackFigures {
  readonly madeAt: string;
  readonly records: number;
  readonly gaps: number;
  readonly neighbours: number;
  readonly forgotten: number;
  readonly photos: PhotosAdded | null;
  /** how many of the checkpoints have a time-stamp, and how many there are */
  readonly stamps: number;
  readonly checkpoints: number;
}

export const readMe = (
  { id, month, depotId }: PackAbout,
  firm: { readonly firmName: string; readonly depotName: string | null },
  { madeAt, records, gaps, neighbours, forgotten, photos, stamps, checkpoints }: PackFigures,
): string =>
  word("audit.read-me", "en", {
    ...{ month, firm: firm.firmName, depot: firm.depotName ?? word("audit.whole-firm"), pack: id, records, forgotten },
    photos: photos === null ? word("audit.photos.without") : word("audit.photos.with", "en", { ...photos }),
    timeStamps: stamps === 0 ? word("audit.read-me.time-stamps.none") : word("audit.read-me.time-stamps", "en", { stamps, checkpoints }),
    madeAt: madeAt.slice(0, 16).replace("T", " "),
    whole: depotId === null ? word("audit.read-me.firm", "en", { gaps, neighbours }) : word("audit.read-me.depot", "en", { gaps }),
    caution: word("caution.line"),
  });
