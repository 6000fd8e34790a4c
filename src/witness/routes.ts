import { checkpointParamsSchema, checkpointTimeStampSchema } from "../../shared/contracts/records.ts";
import { route, routes } from "../keys/index.ts";
import { managerOrAuditor, shared, tableOf } from "../platform/index.ts";
import { showTimeStamp } from "./show-time-stamp.ts";

// biome-ignore format: a table of operations, each with its address, who may call it, and whose depot it is about
const table = tableOf({
  checkpointTimeStamp: ["GET /v1/checkpoints/:number/time-stamp", managerOrAuditor, shared],
});

export const witnessRoutes = routes("witness", table, {
  checkpointTimeStamp: route({
    summary: "What an authority outside says of when a checkpoint existed (RFC 3161)",
    params: checkpointParamsSchema,
    answers: { 200: checkpointTimeStampSchema },
    handler: ({ context, params }) => showTimeStamp(context, params.number),
  }),
});
