export { auditErrors } from "./errors.ts";
export { tidyPacks } from "./pack-files.ts";
export { auditRoutes } from "./routes.ts";
export { keepPacking, workOff } from "./work-off.ts";
