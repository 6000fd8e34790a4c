import { catalogue } from "../platform/index.ts";

export const checkErrors = catalogue({
  "check-not-whole": 422,
  "draft-changed": 409,
  "draft-finished": 409,
  "inspection-not-whole": 422,
});
