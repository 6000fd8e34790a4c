import { catalogue } from "../platform/index.ts";

export const auditErrors = catalogue({
  "pack-not-ready": 409,
  "not-your-record": 403,
  "pointer-unknown": 422,
  "too-many-packs": 429,
  "pack-gone": 410,
  "pack-is-another": 412,
  "pack-is-shorter": 416,
});
