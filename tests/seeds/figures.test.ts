// The demo firm's November as every paper and answer tells it, side by side, and beside what the board showed in it.
import { afterAll, beforeAll, expect, test } from "vitest";
import { startOfDay } from "../../shared/rules/calendar.ts";
import { defectRates } from "../../src/insight/index.ts";
import type { ReportDocument } from "../../src/pdf/document.ts";
import { type Actor, viewOf } from "../../src/platform/index.ts";
import { readStandings } from "../../src/readiness/index.ts";
import { machine } from "../../src/reports/about.ts";
import { takeDefectSummary } from "../../src/reports/defect-summary/take-defect-summary.ts";
import { takeFleetReview } from "../../src/reports/fleet-review/take-fleet-review.ts";
import { drawMonth, monthScope } from "../../src/reports/index.ts";
import { takeMachineRoadworthiness } from "../../src/reports/machine-roadworthiness/take-machine-roadworthiness.ts";
import type { TestContext } from "../support/context.ts";
import { openDemoContext } from "../support/demo.ts";
import { type FiguresRead, figureLabels, figuresOnReport } from "../support/reports-read.ts";

let context: TestContext;
let manager: Actor;
let depots: { readonly id: string; readonly timeZone: string }[];
const november = { from: "2026-11-01", to: "2026-11-30" };

beforeAll(async () => {
  context = await openDemoContext();
  // The month is over, and nobody has done anything since.
  context.clock.moveTo("2026-12-03T12:00:00.000Z");
  depots = await context.db.rows(`SELECT id, time_zone AS "timeZone" FROM depot ORDER BY name`);
  const [staff] = await context.db.rows<{ id: string }>("SELECT id FROM staff WHERE staff_number = 'F001'");
  manager = {
    ...{
      staffId: staff?.id ?? "",
      sessionId: "",
      staffNumber: "F001",
      name: "",
      role: "manager" as const,
      roles: ["manager" as const],
      depotIds: null,
      competences: [],
    },
    mustChangeSecret: false,
    licenceClass: null,
  };
});
afterAll(() => context.close());

/** The figures of a paper that was not drawn yet. */
function figuresIn({ blocks }: ReportDocument): FiguresRead {
  const rows = blocks.flatMap((block) => (block.kind === "facts" ? block.rows : []));
  const toldBy = (label: string): string => (rows.find((row) => row.label === label)?.value ?? "").replace(/ \(.*\)$/, "");
  return Object.fromEntries(Object.entries(figureLabels).map(([name, label]) => [name, toldBy(label)])) as FiguresRead;
}

const oneDecimal = (value: number): string => (Math.round(value * 10) / 10).toLocaleString("en-GB");

async function answered(depotId: string | undefined): Promise<FiguresRead> {
  const rates = await defectRates(context, viewOf(manager, depotId), november);
  return {
    found: String(rates.all.defects),
    machineDays: oneDecimal(rates.machineDays),
    open: String(rates.timeToClear.all.open),
    lost: oneDecimal(rates.lostDays.all),
    noFault: String(rates.noFault),
    rate: rates.all.per1000 === null ? "too little to say" : oneDecimal(rates.all.per1000),
    repaired: String(rates.done.repaired),
    signedOff: String(rates.done.signedOff),
    closedNoFault: String(rates.done.noFault),
  };
}

async function monthReport(depotIds: readonly string[] | null): Promise<FiguresRead> {
  const chunks: Buffer[] = [];
  for await (const chunk of drawMonth(context, await monthScope(context, { month: "2026-11", depotIds }))) chunks.push(chunk as Buffer);
  return figuresOnReport(Buffer.concat(chunks));
}

test("summary, review, the month's records and the answer tell the same of each depot and of all", async () => {
  for (const depotId of [...depots.map(({ id }) => id), undefined]) {
    const told = await answered(depotId);
    expect(Number(told.found)).toBeGreaterThan(10);
    expect(figuresIn((await takeDefectSummary(context, manager, viewOf(manager, depotId), november, "en")).report)).toEqual(told);
    expect(figuresIn((await takeFleetReview(context, manager, viewOf(manager, depotId), "2026-11", "en")).report)).toEqual(told);
    expect(await monthReport(depotId === undefined ? null : [depotId])).toEqual(told);
  }
});

test("the papers of the machines add up to it", async () => {
  const told = await answered(undefined);
  const machines = await context.db.rows<{ id: string }>("SELECT id FROM machine");
  const sums = { found: 0, machineDays: 0, open: 0, lost: 0, noFault: 0, repaired: 0, signedOff: 0, closedNoFault: 0 };
  for (const { id } of machines) {
    const read = figuresIn(
      (await takeMachineRoadworthiness(context, manager, await machine.ask(context, manager, { id }), november, "en")).report,
    );
    for (const key of Object.keys(sums) as (keyof typeof sums)[]) sums[key] += Number(read[key]);
  }
  const { machineDays, lost, ...counts } = sums;
  expect(counts).toEqual(Object.fromEntries(Object.keys(counts).map((key) => [key, Number(told[key as keyof typeof counts])])));
  // Each machine's is printed with one decimal.
  expect(Math.abs(machineDays - Number(told.machineDays))).toBeLessThan(0.05 * machines.length);
  expect(Math.abs(lost - Number(told.lost))).toBeLessThan(0.05 * machines.length);
});

test("machine-days and days lost are what the board showed, looked at every hour of the month", async () => {
  for (const { id: depotId, timeZone } of depots) {
    const [begins, ends] = [startOfDay(november.from, timeZone).getTime(), startOfDay("2026-12-01", timeZone).getTime()];
    const hours = { machineDays: 0, lost: 0, withdrawn: 0 };
    let turns = 0;
    let before = new Map<string, string>();
    for (let at = begins + 1_800_000; at < ends; at += 3_600_000) {
      const { lines } = await readStandings(context, viewOf(manager, depotId), new Date(at));
      for (const { machine, standing } of lines) {
        const isLost = ["grounded", "papers-expired", "inspection-overdue"].includes(standing);
        if (standing === "withdrawn") hours.withdrawn += 1;
        else hours.machineDays += 1;
        if (isLost) hours.lost += 1;
        if (before.get(machine.id) !== String(isLost)) turns += 1;
      }
      before = new Map(
        lines.map(({ machine, standing }) => [machine.id, String(["grounded", "papers-expired", "inspection-overdue"].includes(standing))]),
      );
    }
    const { machineDays, lostDays, withdrawnDays } = await defectRates(context, viewOf(manager, depotId), november);
    // A look every hour errs by half an hour at most whenever a machine comes, goes, is grounded or released.
    const slack = turns / 48;
    expect(Math.abs(lostDays.all - hours.lost / 24)).toBeLessThan(slack);
    expect(Math.abs(machineDays - hours.machineDays / 24)).toBeLessThan(slack);
    expect(Math.abs(withdrawnDays - hours.withdrawn / 24)).toBeLessThan(slack);
    expect(lostDays.all).toBeGreaterThan(1);
  }
});
