// The door of parts: the firm's list of what it fits, with prices, and what was told of work done.
export { partErrors } from "./errors.ts";
export { importParts } from "./import-parts.ts";
export { noCurrency } from "./keep-part.ts";
export { namedParts } from "./name-parts.ts";
export { partRoutes } from "./routes.ts";
export { pricesOfParts } from "./store.ts";
export { toldOf } from "./told-work.ts";
export { workAtDepots, workOnMachine } from "./work-store.ts";
