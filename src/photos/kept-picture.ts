import type { PhotoType } from "../../shared/contracts/photos.ts";
import type { AppContext } from "../acts/index.ts";
import { ProblemError } from "../platform/index.ts";
import { typeOf } from "./picture-file.ts";
import { bytesOf } from "./show-photo.ts";

/** The stored picture with this hash (hex); null if its bytes are gone or altered. Throws `photo-shelf-away`. */
export async function keptPicture(
  context: AppContext,
  sha256: string,
): Promise<{ readonly type: PhotoType; readonly bytes: Buffer } | null> {
  const bytes = await bytesOf(context, { sha256 }).catch((error: unknown) => {
    if (error instanceof ProblemError && ["photo-gone", "photo-altered"].includes(error.code)) return null;
    throw error;
  });
  const type = bytes && typeOf(bytes);
  return bytes && type ? { type, bytes } : null;
}
