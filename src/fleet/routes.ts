// The doors of the fleet.

import { pageQuerySchema } from "../../shared/contracts/common.ts";
import {
  type Depot,
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
  type Machine,
  type MachineModel,
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
import { type AppContext, route } from "../acts/index.ts";
import type { Route } from "../platform/index.ts";
import { addDepot } from "./add-depot.ts";
import { addMachine } from "./add-machine.ts";
import { addModel } from "./add-model.ts";
import { addPaper } from "./add-paper.ts";
import { amendDepot } from "./amend-depot.ts";
import { amendMachine } from "./amend-machine.ts";
import { endPaper } from "./end-paper.ts";
import { fieldKit } from "./field-kit.ts";
import { importMachines } from "./import-machines.ts";
import { listDepots } from "./list-depots.ts";
import { listMachines } from "./list-machines.ts";
import { listModels } from "./list-models.ts";
import { listPapers } from "./list-papers.ts";
import { machineHistory } from "./machine-history.ts";
import { reviseModel } from "./revise-model.ts";
import { particularsOf } from "./rules.ts";
import { showDepot } from "./show-depot.ts";
import { showMachine } from "./show-machine.ts";
import { showModel } from "./show-model.ts";
import { showRuleSets } from "./show-rule-sets.ts";

const room = "fleet";
const asAnswered = (answer: unknown): unknown => answer;
// A row of the file is 60 to 100 bytes: room for the 10,000 machines that it may hold at most, and for more than most firms have.
const importLimitBytes = 2 * 1024 * 1024;

export const fleetRoutes: readonly Route<AppContext>[] = [
  route({
    method: "GET",
    path: "/v1/field-kit",
    operationId: "fieldKit",
    compressed: true,
    who: ["rider", "mechanic"],
    summary: "What a phone takes along to judge a check without a signal",
    room,
    query: fieldKitQuerySchema,
    answers: { 200: fieldKitSchema },
    handler: ({ context, actor, query }) => fieldKit(context, actor, query),
  }),
  route({
    method: "GET",
    path: "/v1/depots",
    operationId: "listDepots",
    who: "signed-in",
    summary: "Your depots by name",
    room,
    query: pageQuerySchema,
    answers: { 200: depotListSchema },
    handler: ({ context, actor, query }) => listDepots(context, actor, query),
  }),
  route({
    method: "POST",
    path: "/v1/depots",
    operationId: "addDepot",
    who: ["manager"],
    wholeFirm: true,
    summary: "Add a depot",
    room,
    body: depotBodySchema,
    answers: { 201: depotSchema },
    location: ({ id }: Depot) => `/v1/depots/${id}`,
    keyed: asAnswered,
    handler: async ({ context, actor, body, reply }) => reply.code(201).send(await addDepot(context, actor, body)),
  }),
  route({
    method: "GET",
    path: "/v1/depots/:id",
    operationId: "showDepot",
    who: "signed-in",
    summary: "One of your depots",
    room,
    params: idParamsSchema,
    answers: { 200: depotSchema },
    tagged: (depot: Depot) => depot,
    handler: ({ context, actor, params }) => showDepot(context, actor, params.id),
  }),
  route({
    method: "PATCH",
    path: "/v1/depots/:id",
    operationId: "amendDepot",
    who: ["manager"],
    summary: "Change a depot's name, rule set or workshop hours",
    room,
    params: idParamsSchema,
    body: depotAmendmentSchema,
    answers: { 200: depotSchema },
    tagged: (depot: Depot) => depot,
    handler: ({ context, actor, params, body, ifMatch }) => amendDepot(context, actor, params.id, body, ifMatch),
  }),
  route({
    method: "GET",
    path: "/v1/rule-sets",
    operationId: "showRuleSets",
    who: "signed-in",
    summary: "The legal limits that a depot can choose, each figure with its source",
    room,
    answers: { 200: ruleSetListSchema },
    handler: () => showRuleSets(),
  }),
  route({
    method: "GET",
    path: "/v1/models",
    operationId: "listModels",
    who: "signed-in",
    summary: "Models by name",
    room,
    query: pageQuerySchema,
    answers: { 200: modelListSchema },
    handler: ({ context, query }) => listModels(context, query),
  }),
  route({
    method: "POST",
    path: "/v1/models",
    operationId: "addModel",
    who: ["manager"],
    summary: "Add a model with its handbook's figures",
    room,
    body: modelBodySchema,
    answers: { 201: modelSchema },
    location: ({ id }: MachineModel) => `/v1/models/${id}`,
    keyed: asAnswered,
    handler: async ({ context, actor, body, reply }) => reply.code(201).send(await addModel(context, actor, body)),
  }),
  route({
    method: "GET",
    path: "/v1/models/:id",
    operationId: "showModel",
    who: "signed-in",
    summary: "A model with its handbook's figures",
    room,
    params: idParamsSchema,
    answers: { 200: modelSchema },
    tagged: (model: MachineModel) => model,
    handler: ({ context, params }) => showModel(context, params.id),
  }),
  route({
    method: "PUT",
    path: "/v1/models/:id",
    operationId: "reviseModel",
    who: ["manager"],
    wholeFirm: true,
    summary: "Put new figures in the place of the revision that was read",
    room,
    params: idParamsSchema,
    body: modelRevisionBodySchema,
    answers: { 200: modelSchema },
    tagged: (model: MachineModel) => model,
    handler: ({ context, actor, params, body, ifMatch }) => reviseModel(context, actor, params.id, body, ifMatch),
  }),
  route({
    method: "GET",
    path: "/v1/machines",
    operationId: "listMachines",
    who: "signed-in",
    summary: "Machines of your depots with their standing, by registration mark",
    room,
    query: machineListQuerySchema,
    answers: { 200: machineListSchema },
    handler: ({ context, actor, query }) => listMachines(context, actor, query),
  }),
  route({
    method: "POST",
    path: "/v1/machines",
    operationId: "addMachine",
    who: ["manager"],
    summary: "Add a machine; its first weekly inspection is then due",
    room,
    body: machineBodySchema,
    answers: { 201: machineSchema },
    location: ({ id }: Machine) => `/v1/machines/${id}`,
    keyed: asAnswered,
    handler: async ({ context, actor, body, reply }) => reply.code(201).send(await addMachine(context, actor, body)),
  }),
  route({
    method: "POST",
    path: "/v1/machines/import",
    operationId: "importMachines",
    who: ["manager"],
    summary: "Import machines from a CSV file, all or nothing",
    room,
    patient: true,
    body: machineFileSchema,
    bodyLimitBytes: importLimitBytes,
    bodyMediaTypes: ["text/csv"],
    heavy: "import",
    answers: { 201: importReceiptSchema },
    keyed: asAnswered,
    handler: async ({ context, actor, body, reply }) => reply.code(201).send(await importMachines(context, actor, body)),
  }),
  route({
    method: "GET",
    path: "/v1/machines/:id",
    operationId: "showMachine",
    who: "signed-in",
    summary: "A machine with its standing and every reason for it",
    room,
    params: idParamsSchema,
    answers: { 200: machineSchema },
    tagged: particularsOf,
    handler: ({ context, actor, params }) => showMachine(context, actor, params.id),
  }),
  route({
    method: "PATCH",
    path: "/v1/machines/:id",
    operationId: "amendMachine",
    who: ["manager"],
    summary: "Change particulars, set the odometer, withdraw a machine or bring it back",
    room,
    params: idParamsSchema,
    body: machineAmendmentSchema,
    answers: { 200: machineSchema },
    tagged: particularsOf,
    handler: ({ context, actor, params, body, ifMatch }) => amendMachine(context, actor, params.id, body, ifMatch),
  }),
  route({
    method: "GET",
    path: "/v1/machines/:id/papers",
    operationId: "listPapers",
    who: "signed-in",
    summary: "A machine's papers, the one that lasts longest first",
    room,
    params: idParamsSchema,
    query: pageQuerySchema,
    answers: { 200: paperListSchema },
    handler: ({ context, actor, params, query }) => listPapers(context, actor, params.id, query),
  }),
  route({
    method: "POST",
    path: "/v1/machines/:id/papers",
    operationId: "addPaper",
    who: ["manager"],
    summary: "Record a paper of a machine",
    room,
    params: idParamsSchema,
    body: paperBodySchema,
    answers: { 200: paperSchema, 201: paperSchema },
    handler: async ({ context, actor, params, body, reply }) => {
      const { receipt, repeated } = await addPaper(context, actor, params.id, body);
      return reply.code(repeated ? 200 : 201).send(receipt);
    },
  }),
  route({
    method: "POST",
    path: "/v1/papers/:id/ending",
    operationId: "endPaper",
    who: ["manager"],
    summary: "End a paper: cancelled, replaced, failed, or entered by mistake and never valid",
    room,
    params: idParamsSchema,
    body: paperEndingBodySchema,
    answers: { 200: paperEndedSchema, 201: paperEndedSchema },
    handler: async ({ context, actor, params, body, reply }) => {
      const { receipt, repeated } = await endPaper(context, actor, params.id, body);
      return reply.code(repeated ? 200 : 201).send(receipt);
    },
  }),
  route({
    method: "GET",
    path: "/v1/machines/:id/history",
    operationId: "machineHistory",
    who: ["mechanic", "manager", "auditor"],
    summary: "Everything that happened to a machine, newest first; with `at` what had by that moment",
    room,
    params: idParamsSchema,
    query: historyQuerySchema,
    answers: { 200: historySchema },
    handler: ({ context, actor, params, query }) => machineHistory(context, actor, params.id, query),
  }),
];
