import { idParamsSchema } from "../../shared/contracts/fleet.ts";
import {
  allocationBodySchema,
  allocationParamsSchema,
  allocationSchema,
  keepAllocationBodySchema,
  keptAllocationSchema,
  machineForecastSchema,
  pressureTrendSchema,
  workPlanQuerySchema,
  workPlanSchema,
} from "../../shared/contracts/planning.ts";
import { route, routes } from "../acts/index.ts";
import { allButRider, depotInBody, goneOf, inView, MadeAsText, manager, mechanicOrManager, signedIn, tableOf } from "../platform/index.ts";
import { allocateMachines } from "./allocate-machines.ts";
import { calculationRoutes } from "./calculation-routes.ts";
import { forecastMachine } from "./forecast-machine.ts";
import { keepAllocation } from "./keep-allocation.ts";
import { versionOf } from "./line-facts.ts";
import { makeWorkPlan } from "./make-work-plan.ts";
import { depotInAddress } from "./planned-depot.ts";
import { machine } from "./planned-machine.ts";
import { pressureTrend } from "./pressure-trend.ts";
import { showAllocation } from "./show-allocation.ts";

/** Enough for two thousand riders of a hundred bytes each, more than twice over. */
const manyRidersBytes = 512 * 1024;

// biome-ignore format: a table of operations, each with its address, who may call it, and whose depot it is about
const table = tableOf({
  machineForecast:  ["GET /v1/machines/:id/forecast",       allButRider,       machine],
  pressureTrend:    ["GET /v1/machines/:id/pressure-trend", allButRider,       machine],
  workPlan:         ["GET /v1/readiness/plan",              mechanicOrManager, inView],
  allocateMachines: ["POST /v1/readiness/allocation",       manager,           depotInBody],
  keepAllocation:   ["PUT /v1/allocations/:depotId/:day",   manager,           depotInAddress],
  showAllocation:   ["GET /v1/allocations/:depotId/:day",   signedIn,          depotInAddress],
});

export const planningRoutes = [
  ...routes("planning", table, {
    machineForecast: route({
      summary: "What wears on this machine, and when it will reach its limit",
      patient: true,
      params: idParamsSchema,
      answers: { 200: machineForecastSchema },
      handler: ({ context, found }) => forecastMachine(context, found),
    }),
    pressureTrend: route({
      summary: "How each tyre keeps its air, at one temperature, and whether it loses more than tyres do by themselves",
      patient: true,
      params: idParamsSchema,
      answers: { 200: pressureTrendSchema },
      handler: ({ context, found }) => pressureTrend(context, found),
    }),
    workPlan: route({
      summary: "What falls due at a depot's workshop, by day and by week, and what will be late",
      patient: true,
      query: workPlanQuerySchema,
      answers: { 200: workPlanSchema },
      handler: async ({ context, found, query, reply }) =>
        new MadeAsText("application/json; charset=utf-8", await makeWorkPlan(context, found, query, goneOf(reply))),
    }),
    allocateMachines: route({
      summary: "Who rides what: the most riders served, then the fewest changes; nothing is stored",
      patient: true,
      body: allocationBodySchema,
      bodyLimitBytes: manyRidersBytes,
      answers: { 200: allocationSchema },
      handler: ({ context, body, reply }) => allocateMachines(context, body, goneOf(reply)),
    }),
    keepAllocation: route({
      summary: "Keep who rides what on a day, in place of what was kept before",
      params: allocationParamsSchema,
      body: keepAllocationBodySchema,
      bodyLimitBytes: manyRidersBytes,
      answers: { 200: keptAllocationSchema },
      tagged: versionOf,
      handler: ({ context, actor, found: depot, params: { day }, body, ifMatch }) =>
        keepAllocation(context, actor, { depot, day }, body, ifMatch),
    }),
    showAllocation: route({
      summary: "Who rides what on a day, as it was kept; riders see their own line",
      params: allocationParamsSchema,
      answers: { 200: keptAllocationSchema },
      tagged: versionOf,
      handler: ({ context, actor, found: depot, params: { day } }) => showAllocation(context, actor, { depot, day }),
    }),
  }),
  ...calculationRoutes,
];
