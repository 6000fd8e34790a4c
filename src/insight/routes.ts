import {
  componentLifeSchema,
  controlChartsSchema,
  defectRatesSchema,
  honestySchema,
  insightQuerySchema,
  machineRiskSchema,
  riskQuerySchema,
} from "../../shared/contracts/insight.ts";
import { route, routes } from "../acts/index.ts";
import { inView, managerOrAuditor, tableOf } from "../platform/index.ts";
import { checkHonesty } from "./check-honesty.ts";
import { componentLife } from "./component-life.ts";
import { controlCharts } from "./control-charts.ts";
import { defectRates } from "./defect-rates.ts";
import { machineRisk } from "./machine-risk.ts";

const ofPeriod = { patient: true, query: insightQuerySchema } as const;

// biome-ignore format: a table of operations, each with its address, who may call it, and whose depot it is about
const table = tableOf({
  checkHonesty:  ["GET /v1/insight/honesty",        managerOrAuditor, inView],
  defectRates:   ["GET /v1/insight/rates",          managerOrAuditor, inView],
  controlCharts: ["GET /v1/insight/charts",         managerOrAuditor, inView],
  componentLife: ["GET /v1/insight/component-life", managerOrAuditor, inView],
  machineRisk:   ["GET /v1/insight/risk",           managerOrAuditor, inView],
});

export const insightRoutes = routes("insight", table, {
  checkHonesty: route({
    summary: "Whether the checks mean anything: shares with intervals, each a question to ask",
    ...ofPeriod,
    answers: { 200: honestySchema },
    handler: ({ context, found, query }) => checkHonesty(context, found, query),
  }),
  defectRates: route({
    summary: "Defects in 1,000 machine-days with exact intervals, and the time to clear them",
    ...ofPeriod,
    answers: { 200: defectRatesSchema },
    handler: ({ context, found, query }) => defectRates(context, found, query),
  }),
  controlCharts: route({
    summary: "Checks with a defect by day and defects by week, against their control limits",
    ...ofPeriod,
    answers: { 200: controlChartsSchema },
    handler: ({ context, found, query }) => controlCharts(context, found, query),
  }),
  componentLife: route({
    summary: "How many kilometres parts last; the last 366 days unless told otherwise",
    ...ofPeriod,
    answers: { 200: componentLifeSchema },
    handler: ({ context, found, query }) => componentLife(context, found, query),
  }),
  machineRisk: route({
    summary: "The machines that want looking at first, by the published weights of three years' findings",
    ...ofPeriod,
    query: riskQuerySchema,
    answers: { 200: machineRiskSchema },
    handler: ({ context, found, query }) => machineRisk(context, found, query),
  }),
});
