// The door of parts: the firm's list of what it fits, with prices.
export { partErrors } from "./errors.ts";
export { partRoutes } from "./routes.ts";
