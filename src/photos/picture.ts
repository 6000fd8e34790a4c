// Decodes pictures and encodes them again: upright, limited in size, and with nothing in them but the picture. The only file that imports
// sharp.
import fastq from "fastq";
import sharp, { type Sharp } from "sharp";
import type { PhotoType } from "../../shared/contracts/photos.ts";
import { tooManyWaiting } from "../platform/index.ts";
import { faultIn, typeOf } from "./picture-file.ts";
import { type PictureFault, refused } from "./refused.ts";

// Of the many formats that the library can read, only these three: faults in the other decoders cannot be exploited then.
sharp.block({ operation: ["VipsForeignLoad"] });
sharp.unblock({ operation: ["VipsForeignLoadJpegBuffer", "VipsForeignLoadPngBuffer", "VipsForeignLoadWebpBuffer"] });
sharp.cache(false);

/** More than any phone's camera makes in a file of 10 MB; some 200 MB while it is turned upright. */
const mostPixels = 2 ** 26;
/** The longer side as kept: a crack in a spoke can be seen, and a photo stays a few MB. */
const longestSidePx = 4096;
// A picture that was made to take long is given up; the slowest genuine one takes a few seconds.
const mostSeconds = 30;
const quality = 88;

export interface CleanPicture {
  readonly bytes: Buffer;
  readonly type: PhotoType;
  readonly widthPx: number;
  readonly heightPx: number;
}

interface SentPicture {
  readonly bytes: Buffer;
  readonly type: PhotoType;
}

// Two at a time: each holds its whole picture in memory. Those that wait hold what was sent, 10 MB at most, and their turn comes in seconds.
const twoAtOnce = fastq.promise<unknown, SentPicture, CleanPicture>(clean, 2);
const mostWaiting = 24;

/** The picture alone, upright, without what the camera wrote beside it; of the same type. Throws `photo-refused`, `not-ready` where too many wait. */
export async function cleanPicture(sent: Buffer): Promise<CleanPicture> {
  const type = typeOf(sent);
  if (sent.length === 0) throw refused("empty");
  if (type === null) throw refused("another-type");
  const fault = faultIn(sent, type);
  if (fault !== null) throw refused(fault);
  if (twoAtOnce.length() >= mostWaiting) throw tooManyWaiting();
  return twoAtOnce.push({ bytes: sent, type });
}

async function clean(sent: SentPicture): Promise<CleanPicture> {
  try {
    // Turned upright first, because the metadata that says which way is up is removed.
    const upright = open(sent.bytes)
      .autoOrient()
      .resize({ width: longestSidePx, height: longestSidePx, fit: "inside", withoutEnlargement: true });
    const { data, info } = await writtenAs(upright, sent.type).timeout({ seconds: mostSeconds }).toBuffer({ resolveWithObject: true });
    return { bytes: data, type: sent.type, widthPx: info.width, heightPx: info.height };
  } catch (error) {
    throw refused(faultBehind(error));
  }
}

const open = (bytes: Buffer): Sharp => sharp(bytes, { limitInputPixels: mostPixels, failOn: "error" });

// No call of keepMetadata or the like: without one nothing is carried over, and colours are turned into sRGB.
function writtenAs(picture: Sharp, type: PhotoType): Sharp {
  if (type === "image/png") return picture.png();
  return type === "image/webp" ? picture.webp({ quality }) : picture.jpeg({ quality });
}

const faultBehind = (error: unknown): PictureFault =>
  error instanceof Error && error.message.includes("pixel limit") ? "too-many-pixels" : "damaged";

/** A kept picture as a report takes it: JPEG on white, no side longer than `sidePx`. The same picture gives the same bytes. */
export async function asSmallJpeg(kept: Buffer, sidePx: number): Promise<{ bytes: Buffer; widthPx: number; heightPx: number }> {
  const small = open(kept)
    .resize({ width: sidePx, height: sidePx, fit: "inside", withoutEnlargement: true })
    .flatten({ background: "white" });
  const { data, info } = await small.jpeg({ quality }).toBuffer({ resolveWithObject: true });
  return { bytes: data, widthPx: info.width, heightPx: info.height };
}
