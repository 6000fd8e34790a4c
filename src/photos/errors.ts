import { catalogue } from "../platform/index.ts";

export const photoErrors = catalogue({
  "photo-refused": 422,
  "photo-gone": 410,
  "photo-altered": 500,
  "photo-shelf-full": 507,
  "photo-shelf-away": 503,
});
