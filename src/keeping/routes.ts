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
import { route, routes } from "../acts/index.ts";
import { act, answerReceipt, firm, manager, managerOrAuditor, tableOf } from "../platform/index.ts";
import { anonymiseStaff } from "./anonymise-staff.ts";
import { liftHold } from "./lift-hold.ts";
import { listHolds } from "./list-holds.ts";
import { placeHold } from "./place-hold.ts";
import { showRetention } from "./show-retention.ts";

// biome-ignore format: a table of operations, each with its address, who may call it, and whose depot it is about
const table = tableOf({
  showRetention:  ["GET /v1/retention",            managerOrAuditor, firm],
  listHolds:      ["GET /v1/holds",                managerOrAuditor, firm],
  placeHold:      ["POST /v1/holds",               manager,          firm],
  liftHold:       ["POST /v1/holds/:id/lift",      manager,          firm],
  anonymiseStaff: ["POST /v1/staff/:id/anonymise", manager,          act],
});

export const keepingRoutes = routes("keeping", table, {
  showRetention: route({
    summary: "How long each class of records is kept and why, what is due to be forgotten, and what a hold keeps",
    patient: true,
    answers: { 200: retentionSchema },
    handler: ({ context }) => showRetention(context),
  }),
  listHolds: route({
    summary: "Legal holds, newest first",
    query: holdListQuerySchema,
    answers: { 200: holdListSchema },
    handler: ({ context, query }) => listHolds(context, query),
  }),
  placeHold: route({
    summary: "Keep the records of a machine, a depot or the whole firm from being forgotten",
    body: holdBodySchema,
    answers: { 200: holdSchema, 201: holdSchema },
    handler: async ({ context, actor, body, reply }) => answerReceipt({ reply }, await placeHold(context, actor, body)),
  }),
  liftHold: route({
    summary: "Lift a legal hold",
    params: holdParamsSchema,
    body: liftBodySchema,
    answers: { 200: holdSchema },
    handler: ({ context, actor, params, body }) => liftHold(context, actor, params.id, body),
  }),
  anonymiseStaff: route({
    summary: "Make a person who has left anonymous; what they recorded about machines stays",
    patient: true,
    params: staffParamsSchema,
    body: anonymiseBodySchema,
    answers: { 200: staffMemberSchema },
    handler: ({ context, actor, params, body }) => anonymiseStaff(context, actor, params.id, body),
  }),
});
