import { z } from "zod";
import { idSchema } from "../../shared/contracts/common.ts";
import {
  courseReceiptSchema,
  defectListQuerySchema,
  defectListSchema,
  defectWithCourseSchema,
  deferralBodySchema,
  notFoundBodySchema,
  regradeBodySchema,
  repairBodySchema,
  reportDefectBodySchema,
  reportReceiptSchema,
  signOffBodySchema,
} from "../../shared/contracts/defects.ts";
import { salvageReport } from "../../shared/rules/salvage.ts";
import { type AppContext, route } from "../acts/index.ts";
import { answerReceipt, type Route } from "../platform/index.ts";
import { deferDefect } from "./defer-defect.ts";
import { listDefects, showDefect } from "./read-defects.ts";
import { recordNotFound } from "./record-not-found.ts";
import { recordRepair } from "./record-repair.ts";
import { regradeDefect } from "./regrade-defect.ts";
import { reportDefect } from "./report-defect.ts";
import { signOffDefect } from "./sign-off-defect.ts";

const params = z.strictObject({ id: idSchema });
const room = "defects";
const receipts = { 200: courseReceiptSchema, 201: courseReceiptSchema };

// biome-ignore format: one row a route, to be read as a table
export const defectRoutes: readonly Route<AppContext>[] = [
  route({ method: "GET",  path: "/v1/defects",               operationId: "listDefects",    who: "signed-in", room, summary: "Defects, newest first", query: defectListQuerySchema, answers: { 200: defectListSchema }, handler: ({ context, actor, query }) => listDefects(context, actor, query) }),
  route({ method: "POST", path: "/v1/defects",               operationId: "reportDefect", location: ({ defect }) => `/v1/defects/${defect.id}`,   who: ["rider", "mechanic", "manager"], room, summary: "Report a defect noticed outside a check", body: reportDefectBodySchema, salvage: (raw, arrival) => salvageReport(reportDefectBodySchema, raw, arrival), answers: { 200: reportReceiptSchema, 201: reportReceiptSchema }, handler: async (call) => answerReceipt(call, await reportDefect(call.context, call.actor, call.body, call.mended)) }),
  route({ method: "GET",  path: "/v1/defects/:id",           operationId: "showDefect",     who: "signed-in", room, summary: "A defect with its whole course", params, answers: { 200: defectWithCourseSchema }, handler: ({ context, actor, params: { id } }) => showDefect(context, actor, id) }),
  route({ method: "POST", path: "/v1/defects/:id/repairs",   operationId: "recordRepair",   who: ["mechanic"], room, summary: "Record a repair", params, body: repairBodySchema, answers: receipts, handler: async (call) => answerReceipt(call, await recordRepair(call.context, call.actor, call.params.id, call.body)) }),
  route({ method: "POST", path: "/v1/defects/:id/sign-off",  operationId: "signOffDefect",  who: ["mechanic"], room, summary: "State that the defect is gone; releases the machine if it was the last that grounds", params, body: signOffBodySchema, answers: receipts, handler: async (call) => answerReceipt(call, await signOffDefect(call.context, call.actor, call.params.id, call.body)) }),
  route({ method: "POST", path: "/v1/defects/:id/deferral",  operationId: "deferDefect",    who: ["mechanic", "manager"], room, summary: "Put the repair of a minor defect off to a day within its limit", params, body: deferralBodySchema, answers: receipts, handler: async (call) => answerReceipt(call, await deferDefect(call.context, call.actor, call.params.id, call.body)) }),
  route({ method: "POST", path: "/v1/defects/:id/not-found", operationId: "recordNotFound", who: ["mechanic"], room, summary: "No fault found", params, body: notFoundBodySchema, answers: receipts, handler: async (call) => answerReceipt(call, await recordNotFound(call.context, call.actor, call.params.id, call.body)) }),
  route({ method: "POST", path: "/v1/defects/:id/regrades",  operationId: "regradeDefect",  who: ["mechanic"], room, summary: "Weigh a defect anew, with the reason", params, body: regradeBodySchema, answers: receipts, handler: async (call) => answerReceipt(call, await regradeDefect(call.context, call.actor, call.params.id, call.body)) }),
];
