// What a pack consists of, for those who write it and those who check it. FORMAT.md beside this says the same for everybody else.
import { z } from "zod";
import type { PhotoType } from "../../shared/contracts/photos.ts";

export const packFormat = "ferrule-audit-pack-2";
/** The format from before checkpoints stated the chains: without neighbours, names, chains and the spans of the month. */
export const firstFormat = "ferrule-audit-pack-1";

export interface ManifestFile {
  readonly name: string;
  readonly bytes: number;
  readonly sha256: string;
}

/** The month by the calendar of a depot (null: of what belongs to no depot); instants in RFC 3339 with milliseconds. */
export interface MonthSpan {
  readonly depotId: string | null;
  readonly timeZone: string;
  readonly starts: string;
  /** the first instant after it */
  readonly ends: string;
}

/** What is signed about a pack. */
export interface Manifest {
  readonly format: typeof packFormat;
  readonly packId: string;
  readonly firmId: string;
  readonly month: string;
  readonly depotId: string | null;
  readonly spans: readonly MonthSpan[];
  readonly requestedBy: string;
  readonly madeAt: string;
  readonly checkpoint: number;
  readonly records: number;
  readonly chains: number;
  readonly gaps: number;
  readonly neighbours: number;
  readonly files: readonly ManifestFile[];
}

/** The name of a photo's file: its hash, which the record names too. */
export const photoFile = (sha256: string, type: PhotoType): string => `photos/${sha256}.${extensions[type]}`;
const extensions: Readonly<Record<PhotoType, string>> = { "image/jpeg": "jpg", "image/png": "png", "image/webp": "webp" };
export const photoFileForm = /^photos\/([0-9a-f]{64})\.(?:jpg|png|webp)$/;

const hashForm = /^[0-9a-f]{64}$/;

const withPhotos = z.object({ photos: z.array(z.unknown()) });
const withHash = z.object({ sha256: z.string().regex(hashForm) });

/** Hashes (hex) of the photos that a record's data names. */
export function photosNamed(data: unknown): string[] {
  const { photos } = withPhotos.safeParse(data).data ?? { photos: [] };
  return photos.flatMap((photo) => withHash.safeParse(photo).data?.sha256 ?? []);
}

/** The two files that the manifest cannot name: itself, and itself signed. */
export const manifestFiles = ["manifest.json", "manifest.jws"] as const;
