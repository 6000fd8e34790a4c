import { pageQuerySchema } from "../../shared/contracts/common.ts";
import {
  checkpointPageSchema,
  consistencyQuerySchema,
  consistencySchema,
  proofQuerySchema,
  recordParamsSchema,
  recordProofSchema,
} from "../../shared/contracts/records.ts";
import { route, routes } from "../keys/index.ts";
import { managerOrAuditor, shared, tableOf } from "../platform/index.ts";
import { listCheckpoints } from "./list-checkpoints.ts";
import { proveConsistency } from "./prove-consistency.ts";
import { proveRecord, record } from "./prove-record.ts";

// biome-ignore format: a table of operations, each with its address, who may call it, and whose depot it is about
const table = tableOf({
  recordProof:           ["GET /v1/records/:id/proof",       managerOrAuditor, record],
  listCheckpoints:       ["GET /v1/checkpoints",             managerOrAuditor, shared],
  checkpointConsistency: ["GET /v1/checkpoints/consistency", managerOrAuditor, shared],
});

export const ledgerRoutes = routes("ledger", table, {
  recordProof: route({
    summary: "That a record stands unchanged in a signed checkpoint",
    params: recordParamsSchema,
    query: proofQuerySchema,
    answers: { 200: recordProofSchema },
    handler: ({ context, found, query }) => proveRecord(context, found, query.since),
  }),
  listCheckpoints: route({
    summary: "The signed states of all records, newest first",
    query: pageQuerySchema,
    answers: { 200: checkpointPageSchema },
    handler: ({ context, query }) => listCheckpoints(context, query),
  }),
  checkpointConsistency: route({
    summary: "That one checkpoint continues an earlier one",
    query: consistencyQuerySchema,
    answers: { 200: consistencySchema },
    handler: ({ context, query }) => proveConsistency(context, query),
  }),
});
