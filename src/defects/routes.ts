import { z } from "zod";
import { idSchema } from "../../shared/contracts/common.ts";
import {
  addDefectNoteBodySchema,
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
  waitForPartBodySchema,
} from "../../shared/contracts/defects.ts";
import { fallBodySchema, fallReceiptSchema, fallSchema } from "../../shared/contracts/falls.ts";
import {
  outsideWorkSchema,
  sendOutBodySchema,
  sendOutReceiptSchema,
  takeBackBodySchema,
  takeBackReceiptSchema,
} from "../../shared/contracts/outside-work.ts";
import { salvageFall, salvageReport } from "../../shared/rules/salvage.ts";
import { route, routes } from "../acts/index.ts";
import {
  act,
  allButAuditor,
  allButRider,
  answerReceipt,
  inView,
  mechanic,
  mechanicOrManager,
  signedIn,
  tableOf,
} from "../platform/index.ts";
import { addDefectNote } from "./add-defect-note.ts";
import { deferDefect } from "./defer-defect.ts";
import { defect, listDefects, showDefect } from "./read-defects.ts";
import { recordNotFound } from "./record-not-found.ts";
import { recordRepair } from "./record-repair.ts";
import { regradeDefect } from "./regrade-defect.ts";
import { reportDefect } from "./report-defect.ts";
import { reportFall } from "./report-fall.ts";
import { sendOut } from "./send-out.ts";
import { fall, showFall } from "./show-fall.ts";
import { outsideWork, showOutsideWork } from "./show-outside-work.ts";
import { signOffDefect } from "./sign-off-defect.ts";
import { takeBack } from "./take-back.ts";
import { waitForPart } from "./wait-for-part.ts";

const params = z.strictObject({ id: idSchema });
const receipts = { 200: courseReceiptSchema, 201: courseReceiptSchema };

// biome-ignore format: a table of operations, each with its address, who may call it, and whose depot it is about
const table = tableOf({
  listDefects:    ["GET /v1/defects",                signedIn,          inView],
  reportDefect:   ["POST /v1/defects",               allButAuditor,     act],
  showDefect:     ["GET /v1/defects/:id",            signedIn,          defect],
  recordRepair:   ["POST /v1/defects/:id/repairs",   mechanic,          act],
  signOffDefect:  ["POST /v1/defects/:id/sign-off",  mechanic,          act],
  deferDefect:    ["POST /v1/defects/:id/deferral",  mechanicOrManager, act],
  waitForPart:    ["POST /v1/defects/:id/waiting",   mechanic,          act],
  addDefectNote:  ["POST /v1/defects/:id/notes",     mechanicOrManager, act],
  recordNotFound: ["POST /v1/defects/:id/not-found", mechanic,          act],
  regradeDefect:  ["POST /v1/defects/:id/regrades",  mechanic,          act],
  reportFall:     ["POST /v1/machines/:id/falls",    allButAuditor,     act],
  showFall:       ["GET /v1/falls/:id",              signedIn,          fall],
  sendOut:        ["POST /v1/machines/:id/outside-work", mechanicOrManager, act],
  takeBack:       ["POST /v1/outside-work/:id/return", mechanicOrManager, act],
  showOutsideWork: ["GET /v1/outside-work/:id",      allButRider,       outsideWork],
});

export const defectRoutes = routes("defects", table, {
  listDefects: route({
    summary: "Defects, newest first",
    query: defectListQuerySchema,
    answers: { 200: defectListSchema },
    handler: ({ context, found, query }) => listDefects(context, found, query),
  }),
  reportDefect: route({
    summary: "Report a defect noticed outside a check",
    location: ({ defect }) => `/v1/defects/${defect.id}`,
    body: reportDefectBodySchema,
    salvage: (raw, arrival) => salvageReport(reportDefectBodySchema, raw, arrival),
    answers: { 200: reportReceiptSchema, 201: reportReceiptSchema },
    handler: async (call) => answerReceipt(call, await reportDefect(call.context, call.actor, call.body, call.mended)),
  }),
  showDefect: route({
    summary: "A defect with its whole course",
    params,
    answers: { 200: defectWithCourseSchema },
    handler: ({ context, found }) => showDefect(context, found),
  }),
  recordRepair: route({
    summary: "Record a repair",
    params,
    body: repairBodySchema,
    answers: receipts,
    handler: async (call) => answerReceipt(call, await recordRepair(call.context, call.actor, call.params.id, call.body)),
  }),
  signOffDefect: route({
    summary: "State that the defect is gone; releases the machine if it was the last that grounds",
    params,
    body: signOffBodySchema,
    answers: receipts,
    handler: async (call) => answerReceipt(call, await signOffDefect(call.context, call.actor, call.params.id, call.body)),
  }),
  deferDefect: route({
    summary: "Put the repair of a minor defect off to a day within its limit",
    params,
    body: deferralBodySchema,
    answers: receipts,
    handler: async (call) => answerReceipt(call, await deferDefect(call.context, call.actor, call.params.id, call.body)),
  }),
  waitForPart: route({
    summary: "Let a defect wait for a part: a minor one is ridden until the part is expected",
    params,
    body: waitForPartBodySchema,
    answers: receipts,
    handler: async (call) => answerReceipt(call, await waitForPart(call.context, call.actor, call.params.id, call.body)),
  }),
  addDefectNote: route({
    summary: "Add a note to a defect, also to a closed one",
    params,
    body: addDefectNoteBodySchema,
    answers: receipts,
    handler: async (call) => answerReceipt(call, await addDefectNote(call.context, call.actor, call.params.id, call.body)),
  }),
  recordNotFound: route({
    summary: "No fault found",
    params,
    body: notFoundBodySchema,
    answers: receipts,
    handler: async (call) => answerReceipt(call, await recordNotFound(call.context, call.actor, call.params.id, call.body)),
  }),
  regradeDefect: route({
    summary: "Re-grade a defect, with the reason",
    params,
    body: regradeBodySchema,
    answers: receipts,
    handler: async (call) => answerReceipt(call, await regradeDefect(call.context, call.actor, call.params.id, call.body)),
  }),
  reportFall: route({
    summary: "Report that a machine fell or was in a collision: it is grounded until it is inspected",
    location: ({ fall: { id } }) => `/v1/falls/${id}`,
    params,
    body: fallBodySchema,
    salvage: (raw, arrival) => salvageFall(fallBodySchema, raw, arrival),
    answers: { 200: fallReceiptSchema, 201: fallReceiptSchema },
    handler: async (call) => answerReceipt(call, await reportFall(call.context, call.actor, call.params.id, call.body, call.mended)),
  }),
  showFall: route({
    summary: "A fall or collision as it was told, with its photos and the inspection after it",
    params,
    answers: { 200: fallSchema },
    handler: ({ context, found }) => showFall(context, found),
  }),
  sendOut: route({
    summary: "A machine goes to another workshop: nobody is cleared to ride it until it is taken back",
    location: ({ outsideWork: { id } }) => `/v1/outside-work/${id}`,
    params,
    body: sendOutBodySchema,
    answers: { 200: sendOutReceiptSchema, 201: sendOutReceiptSchema },
    handler: async (call) => answerReceipt(call, await sendOut(call.context, call.actor, call.params.id, call.body)),
  }),
  takeBack: route({
    summary: "It is back, with what was done there; a defect that they repaired waits for a sign-off by a mechanic of your own",
    params,
    body: takeBackBodySchema,
    answers: { 200: takeBackReceiptSchema, 201: takeBackReceiptSchema },
    handler: async (call) => answerReceipt(call, await takeBack(call.context, call.actor, call.params.id, call.body)),
  }),
  showOutsideWork: route({
    summary: "A stay at another workshop: where, what for, until when, and what was done there",
    params,
    answers: { 200: outsideWorkSchema },
    handler: ({ context, found }) => showOutsideWork(context, found),
  }),
});
