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
} from "../../shared/contracts/reports.ts";
import { type AppContext, route } from "../acts/index.ts";
import type { ReportFile } from "../pdf/index.ts";
import { type Call, goneOf, type MediaAnswer, type Route, threadWork } from "../platform/index.ts";
import { takeBlankSheet } from "./blank-sheet/take-blank-sheet.ts";
import { takeDefectReport } from "./defect-report/take-defect-report.ts";
import { takeDefectSummary } from "./defect-summary/take-defect-summary.ts";
import { takeFleetReview } from "./fleet-review/take-fleet-review.ts";
import { takeFleetRoadworthiness } from "./fleet-roadworthiness/take-fleet-roadworthiness.ts";
import { takeLabels } from "./labels/take-labels.ts";
import { takeMachineRoadworthiness } from "./machine-roadworthiness/take-machine-roadworthiness.ts";
import { showCompleteness } from "./month/show-completeness.ts";
import { type RecordsFile, takeMonthRecords } from "./month/take-month-records.ts";
import type { drawWhole } from "./on-thread.ts";

const params = z.strictObject({ id: idSchema });
const room = "reports";
/** whoever takes one of these out is put on record */
const onlyAsked = true;
const heavy = "paper";
const pdf = (description: string): Record<number, MediaAnswer> => ({ 200: { mediaType: "application/pdf", description } });

// biome-ignore format: one row a route, to be read as a table
export const reportRoutes: readonly Route<AppContext>[] = [
  route({ method: "GET", path: "/v1/defects/:id/report.pdf",           operationId: "defectReport",          who: ["mechanic", "manager", "auditor"], room, onlyAsked, heavy, summary: "A defect with its whole course, as a paper; with `at` as it was at that moment", params, query: defectReportQuerySchema, answers: pdf("The defect report"), handler: async (call) => send(call, await takeDefectReport(call.context, call.actor, call.params.id, call.query)) }),
  route({ method: "GET", path: "/v1/machines/:id/roadworthiness.pdf",  operationId: "machineRoadworthiness", who: ["mechanic", "manager", "auditor"], room, onlyAsked, heavy, summary: "A machine from day to day, as a paper; the last 30 days unless told otherwise; with `at` as it was at that moment", params, query: machinePeriodQuerySchema, answers: pdf("The machine's paper"), handler: async (call) => send(call, await takeMachineRoadworthiness(call.context, call.actor, call.params.id, call.query)) }),
  route({ method: "GET", path: "/v1/reports/defects.pdf",              operationId: "defectSummary",         who: ["manager", "auditor"], room, onlyAsked, heavy, summary: "All defects of a period, what is grounded first; the last 7 days unless told otherwise; with `at` as it was at that moment", query: defectSummaryQuerySchema, answers: pdf("The defect summary"), handler: async (call) => send(call, await takeDefectSummary(call.context, call.actor, call.query)) }),
  route({ method: "GET", path: "/v1/reports/roadworthiness.pdf",       operationId: "fleetRoadworthiness",   who: ["manager", "auditor"], room, onlyAsked, heavy, summary: "Every machine's standing now, as at the moment `at`, or as at the end of the day `on`", query: fleetDayQuerySchema, answers: pdf("The fleet's paper"), handler: async (call) => send(call, await takeFleetRoadworthiness(call.context, call.actor, call.query)) }),
  route({ method: "GET", path: "/v1/reports/review.pdf",               operationId: "fleetReview",           who: ["manager", "auditor"], room, onlyAsked, heavy, summary: "What a month was: rates, charts, life of parts, risk, and how honest the checks are", query: fleetReviewQuerySchema, answers: pdf("The fleet review"), handler: async (call) => send(call, await takeFleetReview(call.context, call.actor, call.query)) }),
  route({ method: "GET", path: "/v1/machines/:id/sheet.pdf",           operationId: "blankSheet",            who: ["mechanic", "manager"], room, heavy, summary: "The paper sheet of a machine, for when the phone is dead", params, query: blankSheetQuerySchema, answers: pdf("The sheet, to be filled in by hand"), handler: async (call) => send(call, await takeBlankSheet(call.context, call.actor, call.params.id, call.query.kind)) }),
  route({ method: "GET", path: "/v1/reports/labels.pdf",               operationId: "machineLabels",         who: ["mechanic", "manager"], room, heavy, summary: "Labels with a code to scan, one for each machine in service, or the one asked for", query: machineLabelsQuerySchema, answers: pdf("The labels, to be cut out"), handler: async (call) => send(call, await takeLabels(call.context, call.actor, call.query, originOf(call))) }),
  route({ method: "GET", path: "/v1/completeness",                     operationId: "showCompleteness",      who: ["manager", "auditor"], room, patient: true, summary: "Whether each machine of a depot was checked on each day of a month", query: completenessQuerySchema, answers: { 200: completenessSchema }, handler: ({ context, actor, query }) => showCompleteness(context, actor, query) }),
  route({ method: "GET", path: "/v1/records",                          operationId: "monthRecords",          who: ["manager", "auditor"], room, onlyAsked, heavy, summary: "Every entry of a month as it stands in the records, with its hashes: NDJSON, or CSV for a spreadsheet", query: monthRecordsQuerySchema, answers: { 200: { mediaType: "application/x-ndjson", description: "A line an entry, in the order of their arrival; as text/csv with format=csv" } }, handler: async (call) => sendRecords(call, await takeMonthRecords(call.context, call.actor, call.query)) }),
];

// Whoever takes nothing for so long holds a connection of the database for nothing.
const mostMsStalled = 60_000;

/** Where the caller opens the pages. */
const originOf = ({ request }: Pick<Call, "request">): string => `${request.protocol}://${request.host}`;

/** Streams the entries as fast as they are taken. Who hangs up, or stalls, ends the cursor. */
const sendRecords = ({ reply }: Pick<Call, "reply">, { text, fileName, mediaType }: RecordsFile) => {
  reply.raw.setTimeout(mostMsStalled, () => reply.raw.destroy());
  return reply
    .header("content-type", mediaType)
    .header("content-disposition", `attachment; filename="${fileName}"`)
    .send(Readable.from(text, { objectMode: false }));
};

const drawing = threadWork<typeof drawWhole>(import.meta.url, "./on-thread", "drawWhole");

/** Sends the report once it is drawn: what goes wrong in drawing is answered as any other failure, and not with half a report. */
const send = async ({ context, reply }: Pick<Call, "context" | "reply">, { report, fileName }: ReportFile) => {
  const bytes = await context.threads.run(drawing, report, goneOf(reply));
  return reply
    .type("application/pdf")
    .header("content-disposition", `inline; filename="${fileName}"`)
    .header("content-language", report.head.language)
    .send(Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength));
};
