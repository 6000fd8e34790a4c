export { type DistancePoint, distanceAt, distanceRidden, type OdometerSight } from "./distance.ts";
export { planningErrors } from "./errors.ts";
export { keepAllocation } from "./keep-allocation.ts";
export { renewedPart } from "./renewal.ts";
export { planningRoutes } from "./routes.ts";
export type { WearingQuantity } from "./stretches.ts";
