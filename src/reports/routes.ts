import { Readable } from "node:stream";
import { z } from "zod";
import { idSchema } from "../../shared/contracts/common.ts";
import { monthRecordsQuerySchema } from "../../shared/contracts/records.ts";
import {
  blankSheetQuerySchema,
  completenessQuerySchema,
  completenessSchema,
  defectReportQuerySchema,
  defectSummaryQuerySchema,
  fleetDayQuerySchema,
  fleetReviewQuerySchema,
  machineLabelsQuerySchema,
  machinePeriodQuerySchema,
  paperQuerySchema,
} from "../../shared/contracts/reports.ts";
import type { Language } from "../../shared/words/index.ts";
import { route, routes } from "../acts/index.ts";
import { campaign } from "../campaigns/index.ts";
import { check, inspection } from "../checks/index.ts";
import { fall } from "../defects/index.ts";
import type { ReportFile } from "../pdf/index.ts";
import {
  allButRider,
  type Call,
  goneOf,
  inView,
  type MediaAnswer,
  managerOrAuditor,
  mechanicOrManager,
  preferredLanguage,
  signedIn,
  tableOf,
  threadWork,
} from "../platform/index.ts";
import { defect, machine } from "./about.ts";
import { takeBlankSheet } from "./blank-sheet/take-blank-sheet.ts";
import { takeCampaignReport } from "./campaign-report/take-campaign-report.ts";
import { takeDailyCheck } from "./check-report/take-daily-check.ts";
import { takeWeeklyInspection } from "./check-report/take-weekly-inspection.ts";
import { takeDefectReport } from "./defect-report/take-defect-report.ts";
import { takeDefectSummary } from "./defect-summary/take-defect-summary.ts";
import { takeFallReport } from "./fall-report/take-fall-report.ts";
import { takeFleetReview } from "./fleet-review/take-fleet-review.ts";
import { takeFleetRoadworthiness } from "./fleet-roadworthiness/take-fleet-roadworthiness.ts";
import { oneInView, takeLabels } from "./labels/take-labels.ts";
import { takeMachineRoadworthiness } from "./machine-roadworthiness/take-machine-roadworthiness.ts";
import { showCompleteness } from "./month/show-completeness.ts";
import { type RecordsFile, takeMonthRecords } from "./month/take-month-records.ts";
import { takeNotice } from "./notice/take-notice.ts";
import type { drawWhole } from "./on-thread.ts";

const params = z.strictObject({ id: idSchema });
/** taking one of these reports is recorded */
const onlyAsked = true;
const heavy = "paper";
const pdf = (description: string): Record<number, MediaAnswer> => ({ 200: { mediaType: "application/pdf", description } });

// biome-ignore format: a table of operations, each with its address, who may call it, and whose depot it is about
const table = tableOf({
  defectReport:          ["GET /v1/defects/:id/report.pdf",          allButRider,       defect],
  fallReport:            ["GET /v1/falls/:id/report.pdf",            allButRider,       fall],
  dailyCheckReport:      ["GET /v1/daily-checks/:id/report.pdf",     signedIn,          check],
  weeklyInspectionReport: ["GET /v1/weekly-inspections/:id/report.pdf", allButRider, inspection],
  campaignReport:        ["GET /v1/campaigns/:id/report.pdf",        allButRider,       campaign],
  machineRoadworthiness: ["GET /v1/machines/:id/roadworthiness.pdf", allButRider,       machine],
  defectSummary:         ["GET /v1/reports/defects.pdf",             managerOrAuditor,  inView],
  fleetRoadworthiness:   ["GET /v1/reports/roadworthiness.pdf",      managerOrAuditor,  inView],
  fleetReview:           ["GET /v1/reports/review.pdf",              managerOrAuditor,  inView],
  blankSheet:            ["GET /v1/machines/:id/sheet.pdf",          mechanicOrManager, machine],
  machineNotice:         ["GET /v1/machines/:id/notice.pdf",         mechanicOrManager, machine],
  machineLabels:         ["GET /v1/reports/labels.pdf",              mechanicOrManager, oneInView],
  showCompleteness:      ["GET /v1/completeness",                    managerOrAuditor,  inView],
  monthRecords:          ["GET /v1/records",                         managerOrAuditor,  inView],
});

export const reportRoutes = routes("reports", table, {
  defectReport: route({
    summary: "A defect with its whole course, as a paper; with `at` as it was at that moment",
    onlyAsked,
    heavy,
    params,
    query: defectReportQuerySchema,
    answers: pdf("The defect report"),
    handler: async (call) => send(call, await takeDefectReport(call.context, call.actor, call.found, call.query, languageOf(call))),
  }),
  fallReport: route({
    summary: "A fall or collision as it was told, and what the inspection after it found, as a paper",
    onlyAsked,
    heavy,
    params,
    query: paperQuerySchema,
    answers: pdf("The report of a fall"),
    handler: async (call) => send(call, await takeFallReport(call.context, call.actor, call.found, languageOf(call))),
  }),
  dailyCheckReport: route({
    summary: "One daily check as it was made, with what its rider was told and what was corrected since, as a paper; riders take their own",
    onlyAsked,
    heavy,
    params,
    query: paperQuerySchema,
    answers: pdf("The paper of a daily check"),
    handler: async (call) => send(call, await takeDailyCheck(call.context, call.actor, call.found, languageOf(call))),
  }),
  weeklyInspectionReport: route({
    summary: "One weekly inspection with its readings, what was done and who signed, as a paper with places to sign",
    onlyAsked,
    heavy,
    params,
    query: paperQuerySchema,
    answers: pdf("The paper of a weekly inspection"),
    handler: async (call) => send(call, await takeWeeklyInspection(call.context, call.actor, call.found, languageOf(call))),
  }),
  campaignReport: route({
    summary: "The state of a campaign as it is now: how far it is, each machine, and what it keeps off the road, as a paper",
    onlyAsked,
    heavy,
    params,
    query: paperQuerySchema,
    answers: pdf("The report of a campaign"),
    handler: async (call) => send(call, await takeCampaignReport(call.context, call.actor, call.params.id, languageOf(call))),
  }),
  machineRoadworthiness: route({
    summary: "A machine from day to day, as a paper; the last 30 days unless told otherwise; with `at` as it was at that moment",
    onlyAsked,
    heavy,
    params,
    query: machinePeriodQuerySchema,
    answers: pdf("The machine's paper"),
    handler: async (call) =>
      send(call, await takeMachineRoadworthiness(call.context, call.actor, call.found, call.query, languageOf(call))),
  }),
  defectSummary: route({
    summary: "All defects of a period, what is grounded first; the last 7 days unless told otherwise; with `at` as it was at that moment",
    onlyAsked,
    heavy,
    query: defectSummaryQuerySchema,
    answers: pdf("The defect summary"),
    handler: async (call) => send(call, await takeDefectSummary(call.context, call.actor, call.found, call.query, languageOf(call))),
  }),
  fleetRoadworthiness: route({
    summary: "Every machine's standing now, as at the moment `at`, or as at the end of the day `on`",
    onlyAsked,
    heavy,
    query: fleetDayQuerySchema,
    answers: pdf("The fleet's paper"),
    handler: async (call) => send(call, await takeFleetRoadworthiness(call.context, call.actor, call.found, call.query, languageOf(call))),
  }),
  fleetReview: route({
    summary: "What a month was: rates, charts, life of parts, risk, and how honest the checks are",
    onlyAsked,
    heavy,
    query: fleetReviewQuerySchema,
    answers: pdf("The fleet review"),
    handler: async (call) => send(call, await takeFleetReview(call.context, call.actor, call.found, call.query.month, languageOf(call))),
  }),
  blankSheet: route({
    summary: "The paper sheet of a machine, for when the phone is dead",
    heavy,
    params,
    query: blankSheetQuerySchema,
    answers: pdf("The sheet, to be filled in by hand"),
    handler: async (call) => send(call, await takeBlankSheet(call.context, call.found, call.query.kind, languageOf(call))),
  }),
  machineNotice: route({
    summary: "An A5 notice to hang on a machine that may not be ridden, read from three metres, with a code to scan",
    onlyAsked,
    heavy,
    params,
    query: paperQuerySchema,
    answers: pdf("The notice"),
    handler: async (call) => send(call, await takeNotice(call.context, call.actor, call.found, originOf(call), languageOf(call))),
  }),
  machineLabels: route({
    summary: "Labels with a code to scan, one for each machine in service, or the one asked for",
    heavy,
    query: machineLabelsQuerySchema,
    answers: pdf("The labels, to be cut out"),
    handler: async (call) => send(call, await takeLabels(call.context, call.found, originOf(call), languageOf(call))),
  }),
  showCompleteness: route({
    summary: "Whether each machine of a depot was checked on each day of a month",
    patient: true,
    query: completenessQuerySchema,
    answers: { 200: completenessSchema },
    handler: ({ context, found, query }) => showCompleteness(context, found, query),
  }),
  monthRecords: route({
    summary: "Every entry of a month as it stands in the records, with its hashes: NDJSON, or CSV for a spreadsheet",
    onlyAsked,
    heavy,
    query: monthRecordsQuerySchema,
    answers: {
      200: {
        mediaType: "application/x-ndjson",
        description: "A line an entry, in the order of their arrival; as text/csv with format=csv",
      },
    },
    handler: async (call) => sendRecords(call, await takeMonthRecords(call.context, call.actor, call.found, call.query)),
  }),
});

// A reader that takes nothing for this long holds a database connection for nothing.
const mostMsStalled = 60_000;

/** The language of a paper: the one asked for, else the one that the caller likes best. */
const languageOf = ({ query, request }: Pick<Call<unknown, { readonly lang?: Language | undefined }>, "query" | "request">): Language =>
  query.lang ?? preferredLanguage(request);

/** Where the caller opens the pages. */
const originOf = ({ request }: Pick<Call, "request">): string => `${request.protocol}://${request.host}`;

/** Streams the entries as fast as they are read. If the reader hangs up or stalls, the cursor is closed. */
const sendRecords = ({ reply }: Pick<Call, "reply">, { text, fileName, mediaType }: RecordsFile) => {
  reply.raw.setTimeout(mostMsStalled, () => reply.raw.destroy());
  return reply
    .header("content-type", mediaType)
    .header("content-disposition", `attachment; filename="${fileName}"`)
    .send(Readable.from(text, { objectMode: false }));
};

const drawing = threadWork<typeof drawWhole>(import.meta.url, "./on-thread", "drawWhole");

/** Sends the report once it is drawn: so a failure in drawing is answered like any other, and not with half a report. */
const send = async ({ context, reply }: Pick<Call, "context" | "reply">, { report, fileName }: ReportFile) => {
  const bytes = await context.threads.run(drawing, report, goneOf(reply));
  return reply
    .type("application/pdf")
    .header("content-disposition", `inline; filename="${fileName}"`)
    .header("content-language", report.head.language)
    .header("vary", "accept-language")
    .send(Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength));
};
