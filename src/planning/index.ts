export { type DistancePoint, distanceAt, distanceRidden, type OdometerSight } from "./distance.ts";
export { type RepairedPart, renewedPart } from "./renewal.ts";
export { planningRoutes } from "./routes.ts";
export type { WearingQuantity } from "./stretches.ts";
