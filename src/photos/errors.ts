import { catalogue } from "../platform/index.ts";

export const photoErrors = catalogue({
  "photo-refused": {
    status: 422,
    title: "This is no photo that can be kept",
    help: "Send a picture as JPEG, PNG or WebP that is no larger than the description of the call allows.",
  },
  "photo-gone": {
    status: 410,
    title: "The photo itself is no longer kept",
    help: "The time for which the photo is kept is over; its record still says that it was there.",
  },
  "photo-altered": {
    status: 500,
    title: "The photo is not the one that was recorded",
    help: "The file is not the one whose hash was recorded, so it is not shown. Tell whoever runs the service.",
  },
  "photo-shelf-full": {
    status: 507,
    title: "There is no room left for photos",
    help: "The disk for photos is full. Records are taken all the same; tell whoever runs the service.",
  },
  "photo-shelf-away": {
    status: 503,
    title: "Photos cannot be kept or shown at the moment",
    help: "The folder of the photos cannot be reached. Records are taken all the same; try again later.",
  },
});
