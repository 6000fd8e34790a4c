export { assign } from "./assignment.ts";
export { type Chart, type ChartSample, cChart, pChart, uChart } from "./control-charts.ts";
export { poissonRate, wilson } from "./intervals.ts";
export { studentQuantile } from "./quantiles.ts";
export { chiSquareUniform, findingPoints, median, riskScore, yearWeights } from "./small-statistics.ts";
export { type LifeTime, medianLife, type SurvivalStep, survivalSteps } from "./survival.ts";
export { linearTrend, type Point, pooledTrend, predict, probabilityPast, whyNoPooledTrend, whyNoTrend } from "./trend.ts";
