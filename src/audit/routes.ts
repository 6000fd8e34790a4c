import { auditPackBodySchema, auditPackParamsSchema, auditPackSchema } from "../../shared/contracts/audit.ts";
import { correctionBodySchema, recordParamsSchema, shownRecordSchema } from "../../shared/contracts/records.ts";
import { route, routes } from "../acts/index.ts";
import { record } from "../ledger/index.ts";
import { allButAuditor, answerReceipt, managerOrAuditor, tableOf } from "../platform/index.ts";
import { correctRecord } from "./correct-record.ts";
import { downloadPack } from "./download-pack.ts";
import { packAsked, requestPack } from "./request-pack.ts";
import { pack } from "./show-pack.ts";
import { showRecord } from "./show-record.ts";
import { watchPack } from "./watch-pack.ts";

const theZip = { mediaType: "application/zip", description: "The pack; read-me.txt in it says how to check it" } as const;

// biome-ignore format: a table of operations, each with its address, who may call it, and whose depot it is about
const table = tableOf({
  showRecord:        ["GET /v1/records/:id",              managerOrAuditor, record],
  correctRecord:     ["POST /v1/records/:id/corrections", allButAuditor,    record],
  requestAuditPack:  ["POST /v1/audit-packs",             managerOrAuditor, packAsked],
  showAuditPack:     ["GET /v1/audit-packs/:id",          managerOrAuditor, pack],
  watchAuditPack:    ["GET /v1/audit-packs/:id/events",   managerOrAuditor, pack],
  downloadAuditPack: ["GET /v1/audit-packs/:id/download", managerOrAuditor, pack],
});

export const auditRoutes = routes("audit", table, {
  showRecord: route({
    summary: "A record, and what was said to be wrong in it later",
    params: recordParamsSchema,
    answers: { 200: shownRecordSchema },
    handler: ({ context, found }) => showRecord(context, found),
  }),
  correctRecord: route({
    summary: "Say what is wrong in a record and what is right; the record stays, and both are shown",
    params: recordParamsSchema,
    body: correctionBodySchema,
    answers: { 200: shownRecordSchema, 201: shownRecordSchema },
    handler: async (call) => answerReceipt(call, await correctRecord(call.context, call.actor, call.found, call.body)),
  }),
  requestAuditPack: route({
    summary: "Order a month in one ZIP that anybody can check; the same again while it is being made",
    body: auditPackBodySchema,
    answers: { 202: auditPackSchema },
    location: ({ id }) => `/v1/audit-packs/${id}`,
    handler: ({ context, actor, found, body }) => requestPack(context, actor, found, body),
  }),
  showAuditPack: route({
    summary: "How far an audit pack has come",
    params: auditPackParamsSchema,
    answers: { 200: auditPackSchema },
    handler: ({ found }) => found,
  }),
  watchAuditPack: route({
    summary: "The same as it changes, as server-sent events named by the state",
    params: auditPackParamsSchema,
    onlyAsked: true,
    answers: { 200: { mediaType: "text/event-stream", description: "An event for each change; its data is the pack" } },
    handler: async ({ context, actor, found, reply }) => reply.type("text/event-stream").send(watchPack(context, actor, found)),
  }),
  downloadAuditPack: route({
    summary: "The finished ZIP, for 90 days; with Range and If-Range a broken download goes on",
    params: auditPackParamsSchema,
    answers: { 200: theZip, 206: { ...theZip, description: "The part that Range asks for" } },
    handler: (call) => downloadPack(call, call.found),
  }),
});
