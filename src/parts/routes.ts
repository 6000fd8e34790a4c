// The routes of parts: the firm's list with its prices.
import {
  partBodySchema,
  partFileSchema,
  partImportReceiptSchema,
  partListQuerySchema,
  partListSchema,
  partParamsSchema,
  partSchema,
  stockBodySchema,
} from "../../shared/contracts/parts.ts";
import { route, routes } from "../acts/index.ts";
import { allButRider, answerReceipt, depotInBody, firm, inView, manager, mechanicOrManager, tableOf } from "../platform/index.ts";
import { importParts } from "./import-parts.ts";
import { keepPart } from "./keep-part.ts";
import { listParts } from "./list-parts.ts";
import { recordStock } from "./record-stock.ts";

// A row takes 40 to 200 bytes, so there is room for the 10,000 parts that a file may hold at most.
const importLimitBytes = 2 * 1024 * 1024;

// biome-ignore format: a table of operations, each with its address, who may call it, and whose depot it is about
const table = tableOf({
  listParts:   ["GET /v1/parts",          allButRider, inView],
  recordStock: ["POST /v1/parts/:number/stock", mechanicOrManager, depotInBody],
  keepPart:    ["PUT /v1/parts/:number",  manager,     firm],
  importParts: ["POST /v1/parts/import",  manager,     firm],
});

export const partRoutes = routes("parts", table, {
  listParts: route({
    summary: "The parts that the firm fits, by number, with their prices",
    query: partListQuerySchema,
    answers: { 200: partListSchema },
    handler: ({ context, query, found }) => listParts(context, query, found.asked),
  }),
  recordStock: route({
    summary: "Say how many of a part lie at a depot, or came there",
    params: partParamsSchema,
    body: stockBodySchema,
    answers: { 200: partSchema, 201: partSchema },
    handler: async (call) => answerReceipt(call, await recordStock(call.context, call.actor, call.params.number, call.body)),
  }),
  keepPart: route({
    summary: "Put a part in the list, or change its name or a price",
    params: partParamsSchema,
    body: partBodySchema,
    answers: { 200: partSchema },
    handler: ({ context, actor, params, body }) => keepPart(context, actor, params.number, body),
  }),
  importParts: route({
    summary: "Import parts and prices from a CSV file, all or nothing",
    patient: true,
    body: partFileSchema,
    bodyLimitBytes: importLimitBytes,
    bodyMediaTypes: ["text/csv"],
    heavy: "import",
    answers: { 201: partImportReceiptSchema },
    keyed: (answer) => answer,
    handler: ({ context, actor, body }) => importParts(context, actor, body),
  }),
});
