// The routes of the fleet.

import { pageQuerySchema } from "../../shared/contracts/common.ts";
import {
  depotAmendmentSchema,
  depotBodySchema,
  depotListSchema,
  depotSchema,
  fieldKitQuerySchema,
  fieldKitSchema,
  historyQuerySchema,
  historySchema,
  idParamsSchema,
  importReceiptSchema,
  machineAmendmentSchema,
  machineBodySchema,
  machineFileSchema,
  machineListQuerySchema,
  machineListSchema,
  machineSchema,
  modelBodySchema,
  modelListSchema,
  modelRevisionBodySchema,
  modelSchema,
  ruleSetListSchema,
} from "../../shared/contracts/fleet.ts";
import { paperBodySchema, paperEndedSchema, paperEndingBodySchema, paperListSchema, paperSchema } from "../../shared/contracts/papers.ts";
import { route, routes } from "../acts/index.ts";
import {
  act,
  allButRider,
  answerReceipt,
  depot,
  depotInBody,
  eachRow,
  firm,
  inView,
  manager,
  own,
  riderOrMechanic,
  shared,
  signedIn,
  tableOf,
} from "../platform/index.ts";
import { addDepot } from "./add-depot.ts";
import { addMachine } from "./add-machine.ts";
import { addModel } from "./add-model.ts";
import { addPaper } from "./add-paper.ts";
import { amendDepot } from "./amend-depot.ts";
import { amendMachine } from "./amend-machine.ts";
import { endPaper } from "./end-paper.ts";
import { fieldKit, oneInView } from "./field-kit.ts";
import { importMachines } from "./import-machines.ts";
import { listDepots } from "./list-depots.ts";
import { listMachines } from "./list-machines.ts";
import { listModels } from "./list-models.ts";
import { listPapers } from "./list-papers.ts";
import { machineHistory } from "./machine-history.ts";
import { reviseModel } from "./revise-model.ts";
import { particularsOf } from "./rules.ts";
import { showDepot } from "./show-depot.ts";
import { machine, showMachine } from "./show-machine.ts";
import { showModel } from "./show-model.ts";
import { showRuleSets } from "./show-rule-sets.ts";

const asAnswered = (answer: unknown): unknown => answer;
// A row of the file takes 60 to 100 bytes, so there is room for the 10,000 machines that a file may hold at most.
const importLimitBytes = 2 * 1024 * 1024;

// biome-ignore format: a table of operations, each with its address, who may call it, and whose depot it is about
const table = tableOf({
  fieldKit:       ["GET /v1/field-kit",            riderOrMechanic, oneInView],
  listDepots:     ["GET /v1/depots",               signedIn,        own],
  addDepot:       ["POST /v1/depots",              manager,         firm],
  showDepot:      ["GET /v1/depots/:id",           signedIn,        depot],
  amendDepot:     ["PATCH /v1/depots/:id",         manager,         depot],
  showRuleSets:   ["GET /v1/rule-sets",            signedIn,        shared],
  listModels:     ["GET /v1/models",               signedIn,        shared],
  addModel:       ["POST /v1/models",              manager,         shared],
  showModel:      ["GET /v1/models/:id",           signedIn,        shared],
  reviseModel:    ["PUT /v1/models/:id",           manager,         firm],
  listMachines:   ["GET /v1/machines",             signedIn,        inView],
  addMachine:     ["POST /v1/machines",            manager,         depotInBody],
  importMachines: ["POST /v1/machines/import",     manager,         eachRow],
  showMachine:    ["GET /v1/machines/:id",         signedIn,        machine],
  amendMachine:   ["PATCH /v1/machines/:id",       manager,         act],
  listPapers:     ["GET /v1/machines/:id/papers",  signedIn,        machine],
  addPaper:       ["POST /v1/machines/:id/papers", manager,         act],
  endPaper:       ["POST /v1/papers/:id/ending",   manager,         act],
  machineHistory: ["GET /v1/machines/:id/history", allButRider,     machine],
});

export const fleetRoutes = routes("fleet", table, {
  fieldKit: route({
    summary: "What a phone takes along to judge a check without a signal",
    compressed: true,
    query: fieldKitQuerySchema,
    answers: { 200: fieldKitSchema },
    handler: ({ context, actor, found, query }) => fieldKit(context, actor, found, query),
  }),
  listDepots: route({
    summary: "Your depots by name",
    query: pageQuerySchema,
    answers: { 200: depotListSchema },
    handler: ({ context, actor, query }) => listDepots(context, actor, query),
  }),
  addDepot: route({
    summary: "Add a depot",
    body: depotBodySchema,
    answers: { 201: depotSchema },
    location: ({ id }) => `/v1/depots/${id}`,
    keyed: asAnswered,
    handler: ({ context, actor, body }) => addDepot(context, actor, body),
  }),
  showDepot: route({
    summary: "One of your depots",
    params: idParamsSchema,
    answers: { 200: depotSchema },
    tagged: (depot) => depot,
    handler: ({ context, params }) => showDepot(context, params.id),
  }),
  amendDepot: route({
    summary: "Change a depot's name, rule set or workshop hours",
    params: idParamsSchema,
    body: depotAmendmentSchema,
    answers: { 200: depotSchema },
    tagged: (depot) => depot,
    handler: ({ context, actor, params, body, ifMatch }) => amendDepot(context, actor, params.id, body, ifMatch),
  }),
  showRuleSets: route({
    summary: "The legal limits that a depot can choose, each figure with its source",
    answers: { 200: ruleSetListSchema },
    handler: () => showRuleSets(),
  }),
  listModels: route({
    summary: "Models by name",
    query: pageQuerySchema,
    answers: { 200: modelListSchema },
    handler: ({ context, query }) => listModels(context, query),
  }),
  addModel: route({
    summary: "Add a model with its handbook's figures",
    body: modelBodySchema,
    answers: { 201: modelSchema },
    location: ({ id }) => `/v1/models/${id}`,
    keyed: asAnswered,
    handler: ({ context, actor, body }) => addModel(context, actor, body),
  }),
  showModel: route({
    summary: "A model with its handbook's figures",
    params: idParamsSchema,
    answers: { 200: modelSchema },
    tagged: (model) => model,
    handler: ({ context, params }) => showModel(context, params.id),
  }),
  reviseModel: route({
    summary: "Put new figures in the place of the revision that was read",
    params: idParamsSchema,
    body: modelRevisionBodySchema,
    answers: { 200: modelSchema },
    tagged: (model) => model,
    handler: ({ context, actor, params, body, ifMatch }) => reviseModel(context, actor, params.id, body, ifMatch),
  }),
  listMachines: route({
    summary: "Machines of your depots with their standing, by registration mark",
    query: machineListQuerySchema,
    answers: { 200: machineListSchema },
    handler: ({ context, actor, found, query }) => listMachines(context, actor, found, query),
  }),
  addMachine: route({
    summary: "Add a machine; its first weekly inspection is then due",
    body: machineBodySchema,
    answers: { 201: machineSchema },
    location: ({ id }) => `/v1/machines/${id}`,
    keyed: asAnswered,
    handler: ({ context, actor, body }) => addMachine(context, actor, body),
  }),
  importMachines: route({
    summary: "Import machines from a CSV file, all or nothing",
    patient: true,
    body: machineFileSchema,
    bodyLimitBytes: importLimitBytes,
    bodyMediaTypes: ["text/csv"],
    heavy: "import",
    answers: { 201: importReceiptSchema },
    keyed: asAnswered,
    handler: ({ context, actor, body }) => importMachines(context, actor, body),
  }),
  showMachine: route({
    summary: "A machine with its standing and every reason for it",
    params: idParamsSchema,
    answers: { 200: machineSchema },
    tagged: particularsOf,
    handler: ({ context, actor, found }) => showMachine(context, actor, found),
  }),
  amendMachine: route({
    summary: "Change particulars, set the odometer, withdraw a machine or bring it back",
    params: idParamsSchema,
    body: machineAmendmentSchema,
    answers: { 200: machineSchema },
    tagged: particularsOf,
    handler: ({ context, actor, params, body, ifMatch }) => amendMachine(context, actor, params.id, body, ifMatch),
  }),
  listPapers: route({
    summary: "A machine's papers, the one that lasts longest first",
    params: idParamsSchema,
    query: pageQuerySchema,
    answers: { 200: paperListSchema },
    handler: ({ context, actor, params, query }) => listPapers(context, actor, params.id, query),
  }),
  addPaper: route({
    summary: "Record a paper of a machine",
    params: idParamsSchema,
    body: paperBodySchema,
    answers: { 200: paperSchema, 201: paperSchema },
    handler: async (call) => answerReceipt(call, await addPaper(call.context, call.actor, call.params.id, call.body)),
  }),
  endPaper: route({
    summary: "End a paper: cancelled, replaced, failed, or entered by mistake and never valid",
    params: idParamsSchema,
    body: paperEndingBodySchema,
    answers: { 200: paperEndedSchema, 201: paperEndedSchema },
    handler: async (call) => answerReceipt(call, await endPaper(call.context, call.actor, call.params.id, call.body)),
  }),
  machineHistory: route({
    summary: "Everything that happened to a machine, newest first; with `at` what had by that moment",
    params: idParamsSchema,
    query: historyQuerySchema,
    answers: { 200: historySchema },
    handler: ({ context, params, query }) => machineHistory(context, params.id, query),
  }),
});
