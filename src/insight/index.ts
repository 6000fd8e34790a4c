export { checkHonesty } from "./check-honesty.ts";
export { componentLife } from "./component-life.ts";
export { controlCharts } from "./control-charts.ts";
export { defectRates } from "./defect-rates.ts";
export { machineRisk } from "./machine-risk.ts";
export { insightRoutes } from "./routes.ts";
