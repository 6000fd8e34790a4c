import { catalogue } from "../platform/index.ts";

export const keepingErrors = catalogue({
  "already-lifted": 409,
  "still-here": 409,
  "under-hold": 409,
});
