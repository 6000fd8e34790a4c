import {
  anonymiseBodySchema,
  holdBodySchema,
  holdListQuerySchema,
  holdListSchema,
  holdParamsSchema,
  holdSchema,
  liftBodySchema,
  retentionSchema,
} from "../../shared/contracts/keeping.ts";
import { staffMemberSchema, staffParamsSchema } from "../../shared/contracts/people.ts";
import { type AppContext, route } from "../acts/index.ts";
import { answerReceipt, type Route } from "../platform/index.ts";
import { anonymiseStaff } from "./anonymise-staff.ts";
import { liftHold } from "./lift-hold.ts";
import { listHolds } from "./list-holds.ts";
import { placeHold } from "./place-hold.ts";
import { showRetention } from "./show-retention.ts";

const toRead = { method: "GET", who: ["manager", "auditor"], wholeFirm: true, room: "keeping" } as const;
const toDecide = { method: "POST", who: ["manager"], wholeFirm: true, room: "keeping" } as const;

export const keepingRoutes: readonly Route<AppContext>[] = [
  route({
    ...toRead,
    path: "/v1/retention",
    operationId: "showRetention",
    patient: true,
    summary: "How long each class of records is kept and why, what is due to be forgotten, and what a hold keeps",
    answers: { 200: retentionSchema },
    handler: ({ context }) => showRetention(context),
  }),
  route({
    ...toRead,
    path: "/v1/holds",
    operationId: "listHolds",
    summary: "Legal holds, newest first",
    query: holdListQuerySchema,
    answers: { 200: holdListSchema },
    handler: ({ context, query }) => listHolds(context, query),
  }),
  route({
    ...toDecide,
    path: "/v1/holds",
    operationId: "placeHold",
    summary: "Keep the records of a machine, a depot or the whole firm from being forgotten",
    body: holdBodySchema,
    answers: { 200: holdSchema, 201: holdSchema },
    handler: async ({ context, actor, body, reply }) => answerReceipt({ reply }, await placeHold(context, actor, body)),
  }),
  route({
    ...toDecide,
    path: "/v1/holds/:id/lift",
    operationId: "liftHold",
    summary: "Lift a legal hold",
    params: holdParamsSchema,
    body: liftBodySchema,
    answers: { 200: holdSchema },
    handler: ({ context, actor, params, body }) => liftHold(context, actor, params.id, body),
  }),
  route({
    method: "POST",
    path: "/v1/staff/:id/anonymise",
    operationId: "anonymiseStaff",
    patient: true,
    who: ["manager"],
    room: "keeping",
    summary: "Make a person who has left anonymous; what they recorded about machines stays",
    params: staffParamsSchema,
    body: anonymiseBodySchema,
    answers: { 200: staffMemberSchema },
    handler: ({ context, actor, params, body }) => anonymiseStaff(context, actor, params.id, body),
  }),
];
