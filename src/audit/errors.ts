import { catalogue } from "../platform/index.ts";

export const auditErrors = catalogue({
  "pack-not-ready": { status: 409, title: "The audit pack is not ready" },
  "not-your-record": { status: 403, title: "Somebody else recorded this" },
  "pointer-unknown": { status: 422, title: "The record has no such value" },
  "pack-gone": { status: 410, title: "The file of this audit pack is not here" },
});
