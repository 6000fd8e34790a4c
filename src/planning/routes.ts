import { idParamsSchema } from "../../shared/contracts/fleet.ts";
import {
  allocationBodySchema,
  allocationSchema,
  machineForecastSchema,
  pressureTrendSchema,
  workPlanQuerySchema,
  workPlanSchema,
} from "../../shared/contracts/planning.ts";
import { type AppContext, route } from "../acts/index.ts";
import { goneOf, MadeAsText, type Route } from "../platform/index.ts";
import { allocateMachines } from "./allocate-machines.ts";
import { calculationRoutes } from "./calculation-routes.ts";
import { forecastMachine } from "./forecast-machine.ts";
import { makeWorkPlan } from "./make-work-plan.ts";
import { pressureTrend } from "./pressure-trend.ts";

const room = "planning";
/** Two thousand riders of a hundred bytes each. */
const manyRidersBytes = 512 * 1024;

export const planningRoutes: readonly Route<AppContext>[] = [
  route({
    method: "GET",
    path: "/v1/machines/:id/forecast",
    operationId: "machineForecast",
    who: ["mechanic", "manager", "auditor"],
    room,
    patient: true,
    summary: "What wears on this machine, and when it will reach its limit",
    params: idParamsSchema,
    answers: { 200: machineForecastSchema },
    handler: ({ context, actor, params }) => forecastMachine(context, actor, params.id),
  }),
  route({
    method: "GET",
    path: "/v1/machines/:id/pressure-trend",
    operationId: "pressureTrend",
    who: ["mechanic", "manager", "auditor"],
    room,
    patient: true,
    summary: "How each tyre keeps its air, at one temperature, and whether it loses more than tyres do by themselves",
    params: idParamsSchema,
    answers: { 200: pressureTrendSchema },
    handler: ({ context, actor, params }) => pressureTrend(context, actor, params.id),
  }),
  route({
    method: "GET",
    path: "/v1/readiness/plan",
    operationId: "workPlan",
    who: ["manager", "mechanic"],
    room,
    patient: true,
    summary: "What falls due at a depot's workshop, by day and by week, and what will be late",
    query: workPlanQuerySchema,
    answers: { 200: workPlanSchema },
    handler: async ({ context, actor, query, reply }) =>
      new MadeAsText("application/json; charset=utf-8", await makeWorkPlan(context, actor, query, goneOf(reply))),
  }),
  route({
    method: "POST",
    path: "/v1/readiness/allocation",
    operationId: "allocateMachines",
    who: ["manager"],
    room,
    patient: true,
    summary: "Who rides what: the most riders served, then the fewest changes; nothing is stored",
    body: allocationBodySchema,
    bodyLimitBytes: manyRidersBytes,
    answers: { 200: allocationSchema },
    handler: ({ context, actor, body, reply }) => allocateMachines(context, actor, body, goneOf(reply)),
  }),
  ...calculationRoutes,
];
