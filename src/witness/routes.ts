import { checkpointParamsSchema, checkpointTimeStampSchema } from "../../shared/contracts/records.ts";
import { type LedgerContext, route } from "../ledger/index.ts";
import type { Route } from "../platform/index.ts";
import { showTimeStamp } from "./show-time-stamp.ts";

// biome-ignore format: one row a route, to be read as a table
export const witnessRoutes: readonly Route<LedgerContext>[] = [
  route({ method: "GET", who: ["manager", "auditor"], room: "witness", path: "/v1/checkpoints/:number/time-stamp", operationId: "checkpointTimeStamp", summary: "What an authority outside says of when a checkpoint existed (RFC 3161)", params: checkpointParamsSchema, answers: { 200: checkpointTimeStampSchema }, handler: ({ context, params }) => showTimeStamp(context, params.number) }),
];
