import { auditPackBodySchema, auditPackParamsSchema, auditPackSchema } from "../../shared/contracts/audit.ts";
import { correctionBodySchema, recordParamsSchema, shownRecordSchema } from "../../shared/contracts/records.ts";
import { type AppContext, route } from "../acts/index.ts";
import { answerReceipt, type Route } from "../platform/index.ts";
import { correctRecord } from "./correct-record.ts";
import { downloadPack } from "./download-pack.ts";
import { requestPack } from "./request-pack.ts";
import { showPack } from "./show-pack.ts";
import { showRecord } from "./show-record.ts";
import { watchPack } from "./watch-pack.ts";

const forTheAuditor = { who: ["manager", "auditor"], room: "audit" } as const;
const aPack = { ...forTheAuditor, method: "GET", params: auditPackParamsSchema } as const;

const theZip = { mediaType: "application/zip", description: "The pack; read-me.txt in it says how to check it" } as const;

export const auditRoutes: readonly Route<AppContext>[] = [
  route({
    ...forTheAuditor,
    method: "GET",
    path: "/v1/records/:id",
    operationId: "showRecord",
    summary: "A record, and what was said to be wrong in it later",
    params: recordParamsSchema,
    answers: { 200: shownRecordSchema },
    handler: ({ context, actor, params }) => showRecord(context, actor, params.id),
  }),
  route({
    method: "POST",
    path: "/v1/records/:id/corrections",
    operationId: "correctRecord",
    who: ["rider", "mechanic", "manager"],
    room: "audit",
    summary: "Say what is wrong in a record and what is right; the record stays, and both are shown",
    params: recordParamsSchema,
    body: correctionBodySchema,
    answers: { 200: shownRecordSchema, 201: shownRecordSchema },
    handler: async ({ context, actor, params, body, reply }) =>
      answerReceipt({ reply }, await correctRecord(context, actor, params.id, body)),
  }),
  route({
    ...forTheAuditor,
    method: "POST",
    path: "/v1/audit-packs",
    operationId: "requestAuditPack",
    summary: "Order a month in one ZIP that anybody can check; the same again while it is being made",
    body: auditPackBodySchema,
    answers: { 202: auditPackSchema },
    location: ({ id }) => `/v1/audit-packs/${id}`,
    handler: ({ context, actor, body }) => requestPack(context, actor, body),
  }),
  route({
    ...aPack,
    path: "/v1/audit-packs/:id",
    operationId: "showAuditPack",
    summary: "How far an audit pack has come",
    answers: { 200: auditPackSchema },
    handler: ({ context, actor, params }) => showPack(context, actor, params.id),
  }),
  route({
    ...aPack,
    path: "/v1/audit-packs/:id/events",
    operationId: "watchAuditPack",
    onlyAsked: true,
    summary: "The same as it changes, as server-sent events named by the state",
    answers: { 200: { mediaType: "text/event-stream", description: "An event for each change; its data is the pack" } },
    handler: async ({ context, actor, params, reply }) => reply.type("text/event-stream").send(await watchPack(context, actor, params.id)),
  }),
  route({
    ...aPack,
    path: "/v1/audit-packs/:id/download",
    operationId: "downloadAuditPack",
    summary: "The finished ZIP, for 90 days; with Range and If-Range a broken download goes on",
    answers: { 200: theZip, 206: { ...theZip, description: "The part that Range asks for" } },
    handler: (call) => downloadPack(call, call.params.id),
  }),
];
