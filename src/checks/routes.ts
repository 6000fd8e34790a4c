import { z } from "zod";
import {
  checkListQuerySchema,
  dailyCheckBodySchema,
  dailyCheckListSchema,
  dailyCheckReceiptSchema,
  draftListQuerySchema,
  inspectionDraftBodySchema,
  inspectionDraftListSchema,
  reviewedDraftSchema,
  weeklyInspectionBodySchema,
  weeklyInspectionReceiptSchema,
} from "../../shared/contracts/checks.ts";
import { idSchema } from "../../shared/contracts/common.ts";
import { shownWeeklyInspectionSchema, weeklyInspectionListSchema } from "../../shared/contracts/inspections-read.ts";
import { sheetQuerySchema, sheetSchema } from "../../shared/contracts/sheets.ts";
import { salvageCheck } from "../../shared/rules/salvage.ts";
import { type AppContext, route } from "../acts/index.ts";
import { answerReceipt, type Route } from "../platform/index.ts";
import { listInspectionDrafts, saveInspectionDraft, showInspectionDraft } from "./draft-inspection.ts";
import { checkSheet } from "./make-sheet.ts";
import { listDailyChecks, listWeeklyInspections, showDailyCheck, showWeeklyInspection } from "./read-checks.ts";
import { submitDailyCheck } from "./submit-daily-check.ts";
import { submitWeeklyInspection } from "./submit-weekly-inspection.ts";

const params = z.strictObject({ id: idSchema });
const room = "checks";
const inspectors = ["mechanic", "manager", "auditor"] as const;

// biome-ignore format: one row a route, to be read as a table
export const checkRoutes: readonly Route<AppContext>[] = [
  route({ method: "GET",  path: "/v1/machines/:id/sheet",       operationId: "checkSheet",             who: "signed-in", room, summary: "The items that apply to this machine, in walking order", params, query: sheetQuerySchema, answers: { 200: sheetSchema }, handler: ({ context, actor, params, query }) => checkSheet(context, actor, params.id, query.kind) }),
  route({ method: "POST", path: "/v1/daily-checks",             operationId: "submitDailyCheck", location: ({ check }) => `/v1/daily-checks/${check.id}`,       who: ["rider", "mechanic"], room, summary: "Submit the check before the shift; answers whether to ride", body: dailyCheckBodySchema, salvage: (raw, arrival) => salvageCheck(dailyCheckBodySchema, raw, arrival), answers: { 200: dailyCheckReceiptSchema, 201: dailyCheckReceiptSchema }, handler: async (call) => answerReceipt(call, await submitDailyCheck(call.context, call.actor, call.body, call.mended)) }),
  route({ method: "GET",  path: "/v1/daily-checks",             operationId: "listDailyChecks",        who: "signed-in", room, summary: "Daily checks, newest first; riders see their own", query: checkListQuerySchema, answers: { 200: dailyCheckListSchema }, handler: ({ context, actor, query }) => listDailyChecks(context, actor, query) }),
  route({ method: "GET",  path: "/v1/daily-checks/:id",         operationId: "showDailyCheck",         who: "signed-in", room, summary: "A daily check with its clearance as it was given", params, answers: { 200: dailyCheckReceiptSchema }, handler: ({ context, actor, params }) => showDailyCheck(context, actor, params.id) }),
  route({ method: "POST", path: "/v1/weekly-inspections",       operationId: "submitWeeklyInspection", location: ({ inspection }) => `/v1/weekly-inspections/${inspection.id}`, who: ["mechanic"], room, summary: "Submit the weekly inspection with its readings as found and as left", body: weeklyInspectionBodySchema, salvage: (raw, arrival) => salvageCheck(weeklyInspectionBodySchema, raw, arrival), answers: { 200: weeklyInspectionReceiptSchema, 201: weeklyInspectionReceiptSchema }, handler: async (call) => answerReceipt(call, await submitWeeklyInspection(call.context, call.actor, call.body, call.mended)) }),
  route({ method: "GET",  path: "/v1/weekly-inspections",       operationId: "listWeeklyInspections",  who: inspectors, room, summary: "Weekly inspections, newest first", query: checkListQuerySchema, answers: { 200: weeklyInspectionListSchema }, handler: ({ context, actor, query }) => listWeeklyInspections(context, actor, query) }),
  route({ method: "GET",  path: "/v1/weekly-inspections/:id",   operationId: "showWeeklyInspection",   who: inspectors, room, summary: "A weekly inspection with its verdicts", params, answers: { 200: shownWeeklyInspectionSchema }, handler: ({ context, actor, params }) => showWeeklyInspection(context, actor, params.id) }),
  route({ method: "PUT",  path: "/v1/weekly-inspections/drafts/:id", operationId: "saveInspectionDraft", who: ["mechanic"], room, summary: "Save an inspection that is not finished; answers what is still missing", params, body: inspectionDraftBodySchema, answers: { 200: reviewedDraftSchema }, handler: ({ context, actor, params, body }) => saveInspectionDraft(context, actor, params.id, body) }),
  route({ method: "GET",  path: "/v1/weekly-inspections/drafts", operationId: "listInspectionDrafts",   who: ["mechanic", "manager"], room, summary: "Unfinished inspections of your depots, the one saved last first", query: draftListQuerySchema, answers: { 200: inspectionDraftListSchema }, handler: ({ context, actor, query }) => listInspectionDrafts(context, actor, query) }),
  route({ method: "GET",  path: "/v1/weekly-inspections/drafts/:id", operationId: "showInspectionDraft", who: ["mechanic", "manager"], room, summary: "An unfinished inspection, to be continued on any device", params, answers: { 200: reviewedDraftSchema }, handler: ({ context, actor, params }) => showInspectionDraft(context, actor, params.id) }),
];
