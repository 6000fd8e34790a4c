// The reports of the demo firm, looked at page by page as a reader sees them: what the samples of tests/reports do not think of, its stories do.
import { afterAll, beforeAll, expect, test } from "vitest";
import { foundDemoFirm } from "../../seeds/index.ts";
import { demoMachines } from "../../seeds/machines.ts";
import { languages } from "../../shared/words/index.ts";
import { check, inspection } from "../../src/checks/index.ts";
import type { Block, ReportDocument, ReportFile } from "../../src/pdf/document.ts";
import { drawLongPdf } from "../../src/pdf/draw.ts";
import { type Actor, viewOf } from "../../src/platform/index.ts";
import { defect, machine } from "../../src/reports/about.ts";
import { takeBlankSheet } from "../../src/reports/blank-sheet/take-blank-sheet.ts";
import { takeDailyCheck } from "../../src/reports/check-report/take-daily-check.ts";
import { takeWeeklyInspection } from "../../src/reports/check-report/take-weekly-inspection.ts";
import { takeDefectReport } from "../../src/reports/defect-report/take-defect-report.ts";
import { takeDefectSummary } from "../../src/reports/defect-summary/take-defect-summary.ts";
import { takeFleetReview } from "../../src/reports/fleet-review/take-fleet-review.ts";
import { takeFleetRoadworthiness } from "../../src/reports/fleet-roadworthiness/take-fleet-roadworthiness.ts";
import { monthScope } from "../../src/reports/index.ts";
import { takeLabels } from "../../src/reports/labels/take-labels.ts";
import { takeMachineRoadworthiness } from "../../src/reports/machine-roadworthiness/take-machine-roadworthiness.ts";
import { monthReport } from "../../src/reports/month/draw-month.ts";
import { openTestContext, type TestContext } from "../support/context.ts";
import { lookAt, lookAtBytes } from "../support/look-at-report.ts";
import { hasTool } from "../support/tools.ts";

const seen = await hasTool("pdftotext");
// No paper of a machine tells of more days than lie in these, and what a longer history adds is more of the same.
const weeks = 5;

let context: TestContext;
let manager: Actor;
let depotIds: readonly (string | undefined)[];
let machines: readonly { readonly id: string; readonly mark: string; readonly modelId: string }[];

beforeAll(async () => {
  if (!seen) return;
  context = await openTestContext("2026-11-25T12:00:00.000Z");
  await foundDemoFirm(context, { weeks });
  const depots = await context.db.rows<{ id: string }>("SELECT id FROM depot ORDER BY name");
  depotIds = [undefined, ...depots.map(({ id }) => id)];
  machines = await context.db.rows(`SELECT id, registration_mark AS mark, model_id AS "modelId" FROM machine ORDER BY 2`);
  const [staff] = await context.db.rows<{ id: string }>("SELECT id FROM staff WHERE staff_number = 'F001'");
  manager = {
    ...{
      staffId: staff?.id ?? "",
      sessionId: "",
      staffNumber: "F001",
      name: "",
      role: "manager",
      roles: ["manager"],
      depotIds: null,
      competences: [],
    },
    ...{ mustChangeSecret: false, licenceClass: null },
  };
});
afterAll(() => context?.close());

/** What is wrong with how these reports are laid out, each with its name. */
async function flawsOf(reports: AsyncIterable<ReportFile> | Iterable<ReportFile>): Promise<string[]> {
  const found: string[] = [];
  for await (const { report, fileName } of reports) found.push(...(await lookAt(report)).flaws.map((flaw) => `${fileName}: ${flaw}`));
  return found;
}

/** A machine of each story and one of each model: the others live through the same chances on the same sheets, and time is dear. */
const isTold = ({ mark, modelId }: (typeof machines)[number]): boolean =>
  demoMachines.some((plan) => plan.mark === mark && plan.part !== undefined) ||
  machines.find((machine) => machine.modelId === modelId)?.mark === mark;

test.skipIf(!seen)(
  "the paper of a machine of every story and every model is whole: no heading alone, no page left empty or to a signature, nothing cut",
  async () => {
    async function* reports() {
      for (const { id } of machines.filter(isTold))
        yield await takeMachineRoadworthiness(context, manager, await machine.ask(context, manager, { id }), {}, "en");
    }
    expect(await flawsOf(reports())).toEqual([]);
  },
);

/** Which blocks there are and how many lines they take together: reports alike in this fall alike on their pages, so one of each is looked at. */
const shapeOf = ({ blocks }: ReportDocument): string => {
  const lines = blocks.map((block) => {
    if (block.kind === "course") return block.steps.reduce((sum, { details }) => sum + 1 + details.length, 0);
    if (block.kind === "badge") return block.reasons.length;
    return block.kind === "table" ? block.rows.length : 0;
  });
  return `${blocks.map(({ kind }) => kind).join(" ")}: ${lines.reduce((sum, count) => sum + count, 0)}`;
};

test.skipIf(!seen)("a defect's report of every shape is whole", async () => {
  const defects = await context.db.rows<{ id: string }>("SELECT id FROM defect ORDER BY id");
  const shapes = new Map<string, ReportFile>();
  for (const { id } of defects) {
    const file = await takeDefectReport(context, manager, await defect.ask(context, manager, { id }), {}, "en");
    const shape = shapeOf(file.report);
    if (!shapes.has(shape)) shapes.set(shape, file);
  }
  expect(shapes.size).toBeGreaterThan(10);
  expect(await flawsOf(shapes.values())).toEqual([]);
});

test.skipIf(!seen)("a check's and an inspection's paper of every shape is whole, in every language", async () => {
  const oneOfEach = (table: string, alike: string) =>
    context.db.rows<{ id: string }>(`SELECT DISTINCT ON (${alike}) id FROM ${table} ORDER BY ${alike}, id`);
  const shapes = new Map<string, ReportFile>();
  const keep = (file: ReportFile) => {
    const shape = `${file.report.head.language} ${shapeOf(file.report)}`;
    if (!shapes.has(shape)) shapes.set(shape, file);
  };
  for (const { id } of await oneOfEach("daily_check", "decision, flags, defect_count"))
    keep(await takeDailyCheck(context, manager, await check.ask(context, manager, { id }), "de"));
  for (const { id } of await oneOfEach("weekly_inspection", "flags, defect_count"))
    for (const language of languages)
      keep(await takeWeeklyInspection(context, manager, await inspection.ask(context, manager, { id }), language));
  expect(shapes.size).toBeGreaterThan(10);
  expect(await flawsOf(shapes.values())).toEqual([]);
});

test.skipIf(!seen)(
  "the reports of each depot and of all are whole: board, board of a day, defects of a week and a month, review, labels",
  async () => {
    async function* reports() {
      for (const depotId of depotIds) {
        const view = viewOf(manager, depotId);
        yield await takeFleetRoadworthiness(context, manager, view, {}, "en");
        yield await takeFleetRoadworthiness(context, manager, view, { on: "2026-11-20" }, "en");
        yield await takeDefectSummary(context, manager, view, {}, "en");
        yield await takeDefectSummary(context, manager, view, { from: "2026-11-01", to: "2026-11-25" }, "en");
        yield await takeFleetReview(context, manager, view, "2026-11", "en");
        yield await takeLabels(context, view, "https://bikes.example", "en");
      }
    }
    expect(await flawsOf(reports())).toEqual([]);
  },
);

test.skipIf(!seen)("the blank sheets of every model are whole", async () => {
  const ofModels = [...new Map(machines.map((machine) => [machine.modelId, machine])).values()];
  async function* reports() {
    for (const { id } of ofModels) {
      const found = await machine.ask(context, manager, { id });
      for (const kind of ["daily", "weekly"] as const) yield await takeBlankSheet(context, found, kind, "en");
    }
  }
  expect(await flawsOf(reports())).toEqual([]);
});

test.skipIf(!seen)("the records of a month are whole on paper", async () => {
  const { head, blocks } = monthReport(context, await monthScope(context, { month: "2026-11", depotIds: null }));
  const drawn: Block[] = [];
  async function* told() {
    for await (const block of blocks) {
      drawn.push(block);
      yield block;
    }
  }
  const chunks: Buffer[] = [];
  for await (const chunk of drawLongPdf(head, told())) chunks.push(chunk as Buffer);
  expect((await lookAtBytes({ head, blocks: drawn }, Buffer.concat(chunks))).flaws).toEqual([]);
});
