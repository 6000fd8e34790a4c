// The routes of costs.
import { costsQuerySchema, costsSchema, machineCostsSchema } from "../../shared/contracts/costs.ts";
import { idParamsSchema } from "../../shared/contracts/fleet.ts";
import { route, routes } from "../acts/index.ts";
import { allButRider, inView, MadeAsText, managerOrAuditor, tableOf } from "../platform/index.ts";
import { costsFile } from "./costs-file.ts";
import { showCosts } from "./show-costs.ts";
import { machine, showMachineCosts } from "./show-machine-costs.ts";

// biome-ignore format: a table of operations, each with its address, who may call it, and whose depot it is about
const table = tableOf({
  showCosts:        ["GET /v1/costs",              managerOrAuditor, inView],
  showMachineCosts: ["GET /v1/machines/:id/costs", allButRider,      machine],
});

export const costRoutes = routes("costs", table, {
  showCosts: route({
    summary: "What machines cost in a period, by machine or model and for 1,000 km, with what is not known",
    patient: true,
    query: costsQuerySchema,
    answers: { 200: costsSchema },
    handler: async ({ context, found, query, reply }) => {
      const costs = await showCosts(context, found, query);
      if (query.format === "json") return costs;
      const { from, to, by } = costs;
      reply.header("content-disposition", `attachment; filename="costs-by-${by}-${from}-${to}.csv"`);
      return new MadeAsText("text/csv; charset=utf-8; header=present", costsFile(costs));
    },
  }),
  showMachineCosts: route({
    summary: "What a machine has cost since it came",
    patient: true,
    params: idParamsSchema,
    answers: { 200: machineCostsSchema },
    handler: ({ context, found }) => showMachineCosts(context, found),
  }),
});
