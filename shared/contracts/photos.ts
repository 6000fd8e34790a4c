// What is sent and answered about photos.
import { z } from "zod";
import { idSchema, instantSchema } from "./common.ts";

export const photoTypeSchema = z.enum(["image/jpeg", "image/png", "image/webp"]).meta({ id: "PhotoType" });
export type PhotoType = z.infer<typeof photoTypeSchema>;

/** The largest photo that is taken, in bytes. */
export const mostPhotoBytes = 10 * 1024 * 1024;

export const photoQuerySchema = z.strictObject({ id: idSchema });

/** The bytes as they are: the photos room itself looks at what they hold. */
export const photoBodySchema = z.unknown().meta({
  type: "string",
  format: "binary",
  description:
    "A JPEG, PNG or WebP picture of at most 10 MB and 67 megapixels; where and with what it was taken is removed before it is kept",
});

const sha256Schema = z.string().meta({ description: "SHA-256 of the bytes as kept, in hex" });

export const photoReceiptSchema = z
  .object({
    id: idSchema,
    sha256: sha256Schema,
    type: photoTypeSchema,
    widthPx: z.number().int(),
    heightPx: z.number().int(),
    bytes: z.number().int(),
  })
  .meta({ id: "PhotoReceipt" });
export type PhotoReceipt = z.infer<typeof photoReceiptSchema>;

/** A photo as the record that it belongs to shows it. */
export const hungPhotoSchema = photoReceiptSchema
  .extend({ href: z.string().meta({ description: "where its bytes are answered" }), addedBy: idSchema, addedAt: instantSchema })
  .meta({ id: "HungPhoto" });
export type HungPhoto = z.infer<typeof hungPhotoSchema>;
