import { catalogue } from "../platform/index.ts";

export const auditErrors = catalogue({
  "pack-not-ready": {
    status: 409,
    title: "The audit pack is not ready",
    help: "The pack is still being made. Ask for it again, or watch its events, until its state is ready.",
  },
  "not-your-record": {
    status: 403,
    title: "Somebody else recorded this",
    help: "A record is corrected by whoever made it, or by a manager. Ask one of them.",
  },
  "pointer-unknown": {
    status: 422,
    title: "The record has no such value",
    help: "The correction names a value that the record does not hold. Read the record and point at one that it has.",
  },
  "too-many-packs": {
    status: 429,
    title: "Too many audit packs wait to be made",
    help: "So many packs are ordered and not yet made that no more are taken. Nothing was ordered; order it again when one of them is ready.",
  },
  "pack-gone": {
    status: 410,
    title: "The file of this audit pack is not here",
    help: "The file of the pack was made elsewhere or was cleared away. Ask for the pack again; the records are all there.",
  },
  "pack-is-another": {
    status: 412,
    title: "The audit pack is not the one that was asked for",
    help: "The file behind this address is no longer the one whose ETag was named. Start the download again.",
  },
  "pack-is-shorter": {
    status: 416,
    title: "The audit pack has no such part",
    help: "The part asked for lies past the end of the file. Its length stands in the header Content-Range.",
  },
});
