import {
  componentLifeSchema,
  controlChartsSchema,
  defectRatesSchema,
  honestySchema,
  insightQuerySchema,
  machineRiskSchema,
  riskQuerySchema,
} from "../../shared/contracts/insight.ts";
import { type AppContext, route } from "../acts/index.ts";
import type { Route } from "../platform/index.ts";
import { checkHonesty } from "./check-honesty.ts";
import { componentLife } from "./component-life.ts";
import { controlCharts } from "./control-charts.ts";
import { defectRates } from "./defect-rates.ts";
import { machineRisk } from "./machine-risk.ts";

const insight = { method: "GET", who: ["manager", "auditor"], room: "insight", patient: true, query: insightQuerySchema } as const;

// biome-ignore format: one row a route, to be read as a table
export const insightRoutes: readonly Route<AppContext>[] = [
  route({ ...insight, path: "/v1/insight/honesty", operationId: "checkHonesty",  summary: "Whether the checks mean anything: shares with intervals, each a question to ask", answers: { 200: honestySchema }, handler: ({ context, actor, query }) => checkHonesty(context, actor, query) }),
  route({ ...insight, path: "/v1/insight/rates",   operationId: "defectRates",   summary: "Defects in 1,000 machine-days with exact intervals, and the time to clear them", answers: { 200: defectRatesSchema }, handler: ({ context, actor, query }) => defectRates(context, actor, query) }),
  route({ ...insight, path: "/v1/insight/charts",  operationId: "controlCharts", summary: "Checks with a defect by day and defects by week, against their control limits", answers: { 200: controlChartsSchema }, handler: ({ context, actor, query }) => controlCharts(context, actor, query) }),
  route({ ...insight, path: "/v1/insight/component-life", operationId: "componentLife", summary: "How many kilometres parts last; the last 366 days unless told otherwise", answers: { 200: componentLifeSchema }, handler: ({ context, actor, query }) => componentLife(context, actor, query) }),
  route({ ...insight, path: "/v1/insight/risk", operationId: "machineRisk", summary: "The machines that want looking at first, by the published weights of three years' findings", query: riskQuerySchema, answers: { 200: machineRiskSchema }, handler: ({ context, actor, query }) => machineRisk(context, actor, query) }),
];
