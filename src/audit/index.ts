export { auditErrors } from "./errors.ts";
export { auditRoutes } from "./routes.ts";
export { tidyPacks } from "./shelf.ts";
export { keepPacking, workOff } from "./work-off.ts";
