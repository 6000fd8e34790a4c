// Whether each machine was checked on each day, as an answer: the same judgement as the month's paper prints.
import { beforeAll, expect, test } from "vitest";
import type { Completeness } from "../../shared/contracts/reports.ts";
import { groundOf, machineDaysOf } from "../../src/reports/month/collect-days.ts";
import { monthScope } from "../../src/reports/month/month-scope.ts";
import { readPdf } from "../reports/read-pdf.ts";
import { expectAnswer } from "../support/acts.ts";
import { openTestContext } from "../support/context.ts";
import { addTestMachine, checkFinding, nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService(() => openTestContext("2026-07-01T05:00:00.000Z"));
const machines: string[] = [];
beforeAll(async () => {
  for (let count = 0; count < 60; count += 1) machines.push(await addTestMachine(app, { mark: `C${String(count).padStart(3, "0")}` }));
  const [first = "", second = ""] = machines;
  await expectAnswer((await as("R001")).post("/v1/daily-checks").send(nilCheckOf(app, first)), 201);
  app.context.clock.advance(86_400_000);
  await expectAnswer((await as("R001")).post("/v1/daily-checks").send(checkFinding(app, first, "horn.weak", { odometerKm: 1030 })), 201);
  app.context.clock.advance(2 * 86_400_000);
  // The horn is still weak.
  await expectAnswer((await as("R001")).post("/v1/daily-checks").send(nilCheckOf(app, first, { odometerKm: 1100 })), 201);
  // Three days without a check, and 500 km between.
  await expectAnswer((await as("R001")).post("/v1/daily-checks").send(nilCheckOf(app, second, { odometerKm: 1500 })), 201);
});

const asked = async (query: object): Promise<Completeness> =>
  expectAnswer((await as("A001")).get("/v1/completeness").query({ month: "2026-07", depotId: app.cast.homeDepotId, ...query }), 200);

test("every machine comes once, page by page, with the verdict on each day that has come", async () => {
  const all: Completeness["items"] = [];
  let cursor: string | null = null;
  let pages = 0;
  do {
    const page: Completeness = await asked(cursor === null ? {} : { cursor });
    expect(page.days).toEqual(["2026-07-01", "2026-07-02", "2026-07-03", "2026-07-04"]);
    all.push(...page.items);
    cursor = page.nextCursor;
    pages += 1;
  } while (cursor !== null);
  expect(pages).toBe(2);
  expect(all.map(({ machineId }) => machineId).sort()).toEqual([...machines].sort());
  expect(all[0]?.verdicts.slice(0, 2)).toEqual(["nil", "defect"]);
  expect(all[0]?.verdicts.at(-1)).toBe("nothing-new");
  expect(all[1]?.verdicts).toContain("ridden");
  const scope = await monthScope(app.context, { month: "2026-07", depotIds: [app.cast.homeDepotId] });
  const [depot] = scope.depots;
  if (!depot) throw new Error("the depot is there");
  const printed = await machineDaysOf(app.context, scope, depot, await groundOf(app.context, scope));
  expect(all).toEqual(printed);
});

test("a machine's own paper says of its days what the month says of them, and at a past moment what was known then", async () => {
  const [, second = ""] = machines;
  const { items } = await asked({});
  const counts = (verdict: string) => items.find(({ machineId }) => machineId === second)?.verdicts.filter((one) => one === verdict).length;
  const paper = async (query: object): Promise<string> => {
    const period = { from: "2026-07-01", to: "2026-07-04", ...query };
    const { status, body } = await (await as("A001")).get(`/v1/machines/${second}/roadworthiness.pdf`).query(period);
    expect(status).toBe(200);
    return (await readPdf(body as Buffer)).text;
  };
  const [first = ""] = machines;
  const ofFirst = await (await as("A001")).get(`/v1/machines/${first}/roadworthiness.pdf`).query({ from: "2026-07-01", to: "2026-07-04" });
  expect((await readPdf(ofFirst.body as Buffer)).text).toContain("checked, nothing new; an older defect open (1)");
  expect(counts("ridden")).toBe(3);
  expect(await paper({})).toContain("ridden without a check (3)");
  const before = await paper({ to: "2026-07-02", at: "2026-07-03T05:00:00.000Z" });
  expect(before).toContain("ridden without a check (0)");
  expect(before).toContain("no check, use not ruled out (2)");
});

test("a month to come, a depot that there is not, and who may not see are refused with a word", async () => {
  const call = async (who: string, query: object) => (await as(who)).get("/v1/completeness").query(query);
  const depotId = app.cast.homeDepotId;
  await expectAnswer(call("A001", { month: "2026-09", depotId }), 422, "period-not-valid");
  await expectAnswer(call("A001", { month: "2026-13", depotId }), 422, "not-valid");
  await expectAnswer(call("A001", { month: "2026-07" }), 422, "not-valid");
  await expectAnswer(call("A001", { month: "2026-07", depotId: machines[0] }), 404, "not-found");
  await expectAnswer(call("F101", { month: "2026-07", depotId }), 403, "other-depot");
  await expectAnswer(call("R001", { month: "2026-07", depotId }), 403, "not-your-role");
});
