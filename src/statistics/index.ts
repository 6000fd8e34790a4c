export { assign } from "./assignment.ts";
export { type Chart, type ChartSample, pChart, uChart } from "./control-charts.ts";
export { poissonRate, wilson } from "./intervals.ts";
export { studentQuantile } from "./quantiles.ts";
export { chiSquareUniform, findingPoints, median, riskScore, yearWeights } from "./small-statistics.ts";
export { type LifeTime, medianLife, type SurvivalStep, survivalSteps } from "./survival.ts";
export { linearTrend, type Point, pooledTrend, probabilityPast, whyNoPooledTrend, whyNoTrend } from "./trend.ts";
