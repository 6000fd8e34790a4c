// Why a body is no photo that can be kept, in words.
import type { ProblemError } from "../platform/index.ts";
import { photoErrors } from "./errors.ts";

/** Why a body is no photo that can be kept. */
export type PictureFault = "empty" | "another-type" | "animated" | "cut-short" | "more-behind" | "too-many-pixels" | "damaged";

const details: Readonly<Record<PictureFault, string>> = {
  empty: "Nothing was sent. Send the bytes of the picture as the body.",
  "another-type": "Its bytes are not those of a JPEG, PNG or WebP picture, whatever its name says.",
  animated: "It moves. Send a single picture.",
  "cut-short": "It ends before its picture does: the upload was cut off. Send it again whole.",
  "more-behind": "Something else follows behind the picture. Send the picture alone.",
  "too-many-pixels": "It has more than 67 megapixels. Take it smaller and send it again.",
  damaged: "It could not be read as a picture to its end. Take it again.",
};

export const refused = (fault: PictureFault): ProblemError => photoErrors.problem("photo-refused", `${details[fault]} Nothing was stored.`);
