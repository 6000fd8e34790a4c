import { z } from "zod";
import { idSchema } from "../../shared/contracts/common.ts";
import { mostPhotoBytes, photoBodySchema, photoQuerySchema, photoReceiptSchema, photoTypeSchema } from "../../shared/contracts/photos.ts";
import { route, routes } from "../acts/index.ts";
import { allButAuditor, answerReceipt, type Call, own, signedIn, tableOf } from "../platform/index.ts";
import { addPhoto } from "./add-photo.ts";
import { refused } from "./refused.ts";
import { bytesOf, photo } from "./show-photo.ts";
import type { PhotoRow } from "./store.ts";

const params = z.strictObject({ id: idSchema });

// biome-ignore format: a table of operations, each with its address, who may call it, and whose depot it is about
const table = tableOf({
  addPhoto:  ["POST /v1/photos",    allButAuditor, own],
  showPhoto: ["GET /v1/photos/:id", signedIn,      photo],
});

export const photoRoutes = routes("photos", table, {
  addPhoto: route({
    summary: "Send a photo, before or after the record that names it",
    query: photoQuerySchema,
    body: photoBodySchema,
    bodyLimitBytes: mostPhotoBytes,
    bodyMediaTypes: photoTypeSchema.options,
    heavy: "photo",
    answers: { 200: photoReceiptSchema, 201: photoReceiptSchema },
    location: ({ id }) => `/v1/photos/${id}`,
    handler: async (call) => answerReceipt(call, await addPhoto(call.context, call.actor, { id: call.query.id, sent: bytesIn(call.body) })),
  }),
  showPhoto: route({
    summary: "The picture itself, for those who may see a record that it hangs on",
    params,
    answers: { 200: { mediaType: "image/*", description: "The picture, as JPEG, PNG or WebP" } },
    handler: async ({ context, found, reply }) => send(reply, found, await bytesOf(context, found)),
  }),
});

function bytesIn(body: unknown): Buffer {
  if (Buffer.isBuffer(body)) return body;
  throw refused("empty");
}

/** With everything that keeps a browser from taking it for anything but a picture. */
const send = (reply: Call["reply"], photo: PhotoRow, bytes: Buffer) =>
  reply
    .type(photo.type)
    .header("content-disposition", `inline; filename="photo-${photo.sha256.slice(0, 12)}.${photo.type.slice("image/".length)}"`)
    .header("content-security-policy", "default-src 'none'; sandbox")
    .header("x-content-type-options", "nosniff")
    .header("cache-control", "private, max-age=3600")
    .send(bytes);
