export { auditErrors } from "./errors.ts";
export { auditRoutes } from "./routes.ts";
export { keepPacking, workOff } from "./work-off.ts";
