export { auditErrors } from "./errors.ts";
export { auditRoutes } from "./routes.ts";
export { endWatching } from "./watch-pack.ts";
export { keepPacking, workOff } from "./work-off.ts";
