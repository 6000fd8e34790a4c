export { type Chart, type ChartSample, cChart, pChart, uChart } from "./charts.ts";
export { type DistancePoint, distanceAt, distanceRidden, type OdometerSight } from "./distance.ts";
export { type Interval, poissonRate, wilson } from "./intervals.ts";
export { type RepairedPart, renewedPart } from "./renewal.ts";
export { planningRoutes } from "./routes.ts";
export { type ChiSquare, chiSquareUniform, type Findings, findingPoints, median, riskScore } from "./statistics.ts";
export type { WearingQuantity } from "./stretches.ts";
export { type LifeTime, medianLife, type SurvivalStep, survivalSteps } from "./survival.ts";
export {
  FEWEST_READINGS,
  type LinearTrend,
  linearTrend,
  type OpenInterval,
  type Point,
  predict,
  probabilityPast,
  whyNoTrend,
} from "./trend.ts";
