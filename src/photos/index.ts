export { photoErrors } from "./errors.ts";
export { awaitedFlags, hangArrived, hangWaiting, lookUpPhotos, type NamedPhotos, namedPhotos, usesOf } from "./hang-photos.ts";
export { keptPicture } from "./kept-picture.ts";
export { knowFolder } from "./know-folder.ts";
export { type PhotoStore, photoFolderStore, photoStoreOf } from "./photo-store.ts";
export { photosOf, photosOfEach } from "./photos-of.ts";
export { picturesForReport } from "./pictures-for-report.ts";
export { photoRoutes } from "./routes.ts";
export { takeDownForgotten, tidyPhotos } from "./take-down-forgotten.ts";
