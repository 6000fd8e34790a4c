import { catalogue } from "../platform/index.ts";

export const photoErrors = catalogue({
  "photo-refused": { status: 422, title: "This is no photo that can be kept" },
  "photo-gone": { status: 410, title: "The photo itself is no longer kept" },
  "photo-altered": { status: 500, title: "The photo is not the one that was recorded" },
  "photo-shelf-full": { status: 507, title: "There is no room left for photos" },
  "photo-shelf-away": { status: 503, title: "Photos cannot be kept or shown at the moment" },
});
