// The door of costs: what machines cost, by machine, model and distance.
export { costRoutes } from "./routes.ts";
