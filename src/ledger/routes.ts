import { pageQuerySchema } from "../../shared/contracts/common.ts";
import {
  checkpointPageSchema,
  consistencyQuerySchema,
  consistencySchema,
  proofQuerySchema,
  recordParamsSchema,
  recordProofSchema,
} from "../../shared/contracts/records.ts";
import type { Route } from "../platform/index.ts";
import { type LedgerContext, route } from "./context.ts";
import { listCheckpoints } from "./list-checkpoints.ts";
import { proveConsistency } from "./prove-consistency.ts";
import { proveRecord } from "./prove-record.ts";

const forTheAuditor = { method: "GET", who: ["manager", "auditor"], room: "ledger" } as const;

// biome-ignore format: one row a route, to be read as a table
export const ledgerRoutes: readonly Route<LedgerContext>[] = [
  route({ ...forTheAuditor, path: "/v1/records/:id/proof", operationId: "recordProof", summary: "That a record stands unchanged in a signed checkpoint", params: recordParamsSchema, query: proofQuerySchema, answers: { 200: recordProofSchema }, handler: ({ context, actor, params, query }) => proveRecord(context, actor, params.id, query.since) }),
  route({ ...forTheAuditor, path: "/v1/checkpoints", operationId: "listCheckpoints", summary: "The signed states of all records, newest first", query: pageQuerySchema, answers: { 200: checkpointPageSchema }, handler: ({ context, query }) => listCheckpoints(context, query) }),
  route({ ...forTheAuditor, path: "/v1/checkpoints/consistency", operationId: "checkpointConsistency", summary: "That one checkpoint continues an earlier one", query: consistencyQuerySchema, answers: { 200: consistencySchema }, handler: ({ context, query }) => proveConsistency(context, query) }),
];
