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
import { route, routes } from "../acts/index.ts";
import {
  act,
  allButRider,
  answerReceipt,
  inView,
  mechanic,
  mechanicOrManager,
  riderOrMechanic,
  signedIn,
  tableOf,
} from "../platform/index.ts";
import { draft, listInspectionDrafts, saveInspectionDraft, showInspectionDraft } from "./draft-inspection.ts";
import { checkSheet, inBody, machine } from "./make-sheet.ts";
import {
  check,
  inspection,
  listDailyChecks,
  listWeeklyInspections,
  ownInView,
  showDailyCheck,
  showWeeklyInspection,
} from "./read-checks.ts";
import { submitDailyCheck } from "./submit-daily-check.ts";
import { submitWeeklyInspection } from "./submit-weekly-inspection.ts";

const params = z.strictObject({ id: idSchema });

// biome-ignore format: a table of operations, each with its address, who may call it, and whose depot it is about
const table = tableOf({
  checkSheet:             ["GET /v1/machines/:id/sheet",            signedIn,          machine],
  submitDailyCheck:       ["POST /v1/daily-checks",                 riderOrMechanic,   act],
  listDailyChecks:        ["GET /v1/daily-checks",                  signedIn,          ownInView],
  showDailyCheck:         ["GET /v1/daily-checks/:id",              signedIn,          check],
  submitWeeklyInspection: ["POST /v1/weekly-inspections",           mechanic,          act],
  listWeeklyInspections:  ["GET /v1/weekly-inspections",            allButRider,       ownInView],
  showWeeklyInspection:   ["GET /v1/weekly-inspections/:id",        allButRider,       inspection],
  saveInspectionDraft:    ["PUT /v1/weekly-inspections/drafts/:id", mechanic,          inBody],
  listInspectionDrafts:   ["GET /v1/weekly-inspections/drafts",     mechanicOrManager, inView],
  showInspectionDraft:    ["GET /v1/weekly-inspections/drafts/:id", mechanicOrManager, draft],
});

export const checkRoutes = routes("checks", table, {
  checkSheet: route({
    summary: "The items that apply to this machine, in walking order",
    params,
    query: sheetQuerySchema,
    answers: { 200: sheetSchema },
    handler: ({ context, actor, found, query }) => checkSheet(context, actor, found, query.kind),
  }),
  submitDailyCheck: route({
    summary: "Submit the check before the shift; answers whether to ride",
    location: ({ check }) => `/v1/daily-checks/${check.id}`,
    body: dailyCheckBodySchema,
    salvage: (raw, arrival) => salvageCheck(dailyCheckBodySchema, raw, arrival),
    answers: { 200: dailyCheckReceiptSchema, 201: dailyCheckReceiptSchema },
    handler: async (call) => answerReceipt(call, await submitDailyCheck(call.context, call.actor, call.body, call.mended)),
  }),
  listDailyChecks: route({
    summary: "Daily checks, newest first; riders see their own",
    query: checkListQuerySchema,
    answers: { 200: dailyCheckListSchema },
    handler: ({ context, actor, found, query }) => listDailyChecks(context, actor, found, query),
  }),
  showDailyCheck: route({
    summary: "A daily check with its clearance as it was given",
    params,
    answers: { 200: dailyCheckReceiptSchema },
    handler: ({ context, found }) => showDailyCheck(context, found),
  }),
  submitWeeklyInspection: route({
    summary: "Submit the weekly inspection with its readings as found and as left",
    location: ({ inspection }) => `/v1/weekly-inspections/${inspection.id}`,
    body: weeklyInspectionBodySchema,
    salvage: (raw, arrival) => salvageCheck(weeklyInspectionBodySchema, raw, arrival),
    answers: { 200: weeklyInspectionReceiptSchema, 201: weeklyInspectionReceiptSchema },
    handler: async (call) => answerReceipt(call, await submitWeeklyInspection(call.context, call.actor, call.body, call.mended)),
  }),
  listWeeklyInspections: route({
    summary: "Weekly inspections, newest first",
    query: checkListQuerySchema,
    answers: { 200: weeklyInspectionListSchema },
    handler: ({ context, actor, found, query }) => listWeeklyInspections(context, actor, found, query),
  }),
  showWeeklyInspection: route({
    summary: "A weekly inspection with its verdicts",
    params,
    answers: { 200: shownWeeklyInspectionSchema },
    handler: ({ context, found }) => showWeeklyInspection(context, found),
  }),
  saveInspectionDraft: route({
    summary: "Save an inspection that is not finished; answers what is still missing",
    params,
    body: inspectionDraftBodySchema,
    answers: { 200: reviewedDraftSchema },
    handler: ({ context, actor, found, params, body }) => saveInspectionDraft(context, actor, found, params.id, body),
  }),
  listInspectionDrafts: route({
    summary: "Unfinished inspections of your depots, the one saved last first",
    query: draftListQuerySchema,
    answers: { 200: inspectionDraftListSchema },
    handler: ({ context, found, query }) => listInspectionDrafts(context, found, query),
  }),
  showInspectionDraft: route({
    summary: "An unfinished inspection, to be continued on any device",
    params,
    answers: { 200: reviewedDraftSchema },
    handler: ({ context, actor, found }) => showInspectionDraft(context, actor, found),
  }),
});
