// What machines cost, over HTTP: worked by hand from a list of parts, an hourly rate, repairs and stays at other workshops.
import { randomUUID } from "node:crypto";
import { beforeEach, describe, expect, test } from "vitest";
import { expectAnswer, repairOf, reportOf } from "../support/acts.ts";
import { addTestMachine, inspectionOf, nilCheckOf } from "../support/sheets.ts";
import { serviceForEach } from "../support/test-service.ts";

// Sums are over all that was done, so each test has a firm of its own.
const { app, as } = serviceForEach();

const now = () => app.context.clock.now().toISOString();
const tick = (minutes = 1) => app.context.clock.advance(minutes * 60_000);
const get = async (path: string, who = "F001", status = 200, code?: string) => expectAnswer((await as(who)).get(path), status, code);
const post = async (who: string, path: string, body: object, status = 201, code?: string) =>
  expectAnswer((await as(who)).post(path).send(body), status, code);
const keep = async (number: string, body: object) => expectAnswer((await as("F001")).put(`/v1/parts/${number}`).send(body), 200);

/** Reports a defect and records its repair; answers the repair's id. */
async function repaired(machineId: string, changes: object, observationId = "horn.weak"): Promise<string> {
  tick();
  const { defect } = await post("R001", "/v1/defects", reportOf(app, machineId, observationId));
  tick();
  const body = repairOf(app, changes);
  await post("M001", `/v1/defects/${defect.id}/repairs`, body);
  tick();
  await post("M002", `/v1/defects/${defect.id}/sign-off`, { id: randomUUID() });
  return body.id;
}
const correct = (id: string, pointer: string | undefined, right: unknown) =>
  post("M001", `/v1/records/${id}/corrections`, { id: randomUUID(), ...(pointer ? { pointer } : {}), right, reason: "A slip" });
const lineOf = async (machineId: string, query = "") =>
  (await get(`/v1/costs?by=machine${query}`)).rows.find(({ id }: { id: string }) => id === machineId);
const known = { parts: [{ name: "Brake cable front", number: "ca 1", quantity: 2 }], minutes: 25 };
async function haveMoney(): Promise<void> {
  await expectAnswer((await as("F001")).patch("/v1/policy").send({ currency: "EUR", hourlyRateMinor: 5400 }), 200);
  await keep("CA1", { name: "Brake cable front", priceMinor: 1250, fromDay: "2026-07-01" });
}
/** A stay at another workshop and the return from it; answers the receipt of the return. */
async function stayed(machineId: string, changes: object) {
  tick();
  const out = { id: randomUUID(), since: now(), workshop: "Harbour Street", reason: "Ignition", expectedDay: "2026-07-20" };
  await post("M001", `/v1/machines/${machineId}/outside-work`, out);
  tick();
  const back = { id: randomUUID(), returnedAt: now(), workDone: "New coil", parts: known.parts, ...changes };
  return post("M001", `/v1/outside-work/${out.id}/return`, back);
}

test("before the firm has a currency and a rate nothing is priced; what was done then is priced by the first that came, and both are said", async () => {
  const machineId = await addTestMachine(app);
  await repaired(machineId, known);
  const costs = await get("/v1/costs");
  expect(costs).toMatchObject({ currency: null, hourlyRateMinor: null, total: { totalMinor: 0, isAtLeast: true, repairs: 1 } });
  expect(costs.total.unknown).toMatchObject({ withoutRate: 1, partsWithoutPrice: 1 });
  tick();
  await haveMoney();
  await repaired(machineId, known);
  const { total } = await get("/v1/costs");
  expect(total).toMatchObject({ partsMinor: 5000, labourMinor: 4500, pricedLater: 1, isAtLeast: false });
});

describe("with a currency, a rate and a list of parts", () => {
  let machineId: string;
  beforeEach(async () => {
    await haveMoney();
    machineId = await addTestMachine(app);
  });

  test("two cables of 12.50 and 25 minutes at 54.00 an hour are 47.50, and nothing is unknown", async () => {
    await repaired(machineId, known);
    expect(await lineOf(machineId)).toMatchObject({
      ...{ partsMinor: 2500, labourMinor: 2250, outsideMinor: 0, totalMinor: 4750, repairs: 1, stays: 0, pricedLater: 0 },
      ...{ isAtLeast: false, km: null, perThousandKmMinor: null, machinesWithoutKm: 1 },
    });
  });

  test("a correction that gives a figure counts, one in words is told, and one that is no figure leaves it unknown", async () => {
    const own = await addTestMachine(app);
    const id = await repaired(own, { ...known, minutes: 250 });
    await correct(id, "/submitted/minutes", "25");
    await correct(id, "/submitted/parts/0/quantity", 1);
    expect(await lineOf(own)).toMatchObject({ partsMinor: 1250, labourMinor: 2250, isAtLeast: false });
    await correct(id, undefined, "It was another machine's");
    await correct(id, "/submitted/minutes", "a while");
    expect(await lineOf(own)).toMatchObject({
      ...{ partsMinor: 1250, labourMinor: 0, isAtLeast: true },
      unknown: { correctedInWords: 1, withoutMinutes: 1 },
    });
  });

  test("an invoice is the cost of its whole stay; a stay without one is told, its parts priced by the list", async () => {
    const own = await addTestMachine(app);
    const receipt = await stayed(own, { costMinor: 41_250 });
    expect(receipt.return.invoice).toEqual({ costMinor: 41_250, currency: "EUR" });
    expect(await lineOf(own)).toMatchObject({ outsideMinor: 41_250, partsMinor: 0, totalMinor: 41_250, stays: 1, isAtLeast: false });
    await correct(receipt.return.id, "/submitted/costMinor", 42_000);
    expect(await lineOf(own)).toMatchObject({ outsideMinor: 42_000 });
    expect((await stayed(own, {})).return.invoice).toBeNull();
    expect(await lineOf(own)).toMatchObject({ outsideMinor: 42_000, partsMinor: 2500, stays: 2, unknown: { staysWithoutInvoice: 1 } });
    const history = await get(`/v1/machines/${own}/history?limit=200`);
    expect(JSON.stringify(history)).toContain("their invoice: €412.50");
  });

  test("a part named by its number alone gets the list's name, an unknown number stays as typed, and the same repair sent again is the same", async () => {
    tick();
    const { defect } = await post("R001", "/v1/defects", reportOf(app, machineId, "mirrors.loose"));
    tick();
    const body = repairOf(app, {
      minutes: 1,
      parts: [
        { number: "ca1", quantity: 1 },
        { number: "x 99", quantity: 1 },
      ],
    });
    await post("M001", `/v1/defects/${defect.id}/repairs`, body);
    await keep("CA1", { name: "Cable, front brake" });
    await post("M001", `/v1/defects/${defect.id}/repairs`, body, 200);
    const { course } = await get(`/v1/defects/${defect.id}`);
    expect(JSON.stringify(course)).toContain('"name":"Brake cable front"');
    expect(JSON.stringify(course)).toContain('"name":"x 99"');
    await post("M001", `/v1/defects/${defect.id}/repairs`, { ...body, id: randomUUID(), parts: [{ quantity: 1 }] }, 422, "not-valid");
    expect(await lineOf(machineId)).toMatchObject({ partsMinor: 1250, unknown: { partsWithoutPrice: 1 }, isAtLeast: true });
  });

  test("what an inspection renewed without naming a part is told", async () => {
    const own = await addTestMachine(app);
    tick();
    const inspection = inspectionOf(app, own);
    const answers = inspection.answers.map((answer, at) => (at === 0 ? { ...answer, actions: ["replaced" as const] } : answer));
    await post("M001", "/v1/weekly-inspections", { ...inspection, answers });
    expect(await lineOf(own)).toMatchObject({ unknown: { renewedUnnamed: 1 }, isAtLeast: true });
  });

  test("for 1,000 km where the distance is known; since it came likewise, for a mechanic too", async () => {
    const own = await addTestMachine(app);
    tick(60);
    await post("R001", "/v1/daily-checks", nilCheckOf(app, own, { odometerKm: 1100 }));
    await repaired(own, known);
    tick(24 * 60);
    await post("R001", "/v1/daily-checks", nilCheckOf(app, own, { odometerKm: 1500 }));
    const line = await lineOf(own);
    expect(line.km).toBe(500);
    expect(line.perThousandKmMinor).toBe(Math.round((4750 * 1000) / line.km));
    const ever = await get(`/v1/machines/${own}/costs`, "M001");
    expect(ever).toMatchObject({
      machineId: own,
      currency: "EUR",
      totalMinor: 4750,
      isAtLeast: false,
      perThousandKmMinor: line.perThousandKmMinor,
    });
  });

  test("by model the machines' costs are added, and the total is that of its lines, the dearest first", async () => {
    await repaired(machineId, known);
    await stayed(await addTestMachine(app), { costMinor: 41_250 });
    const machines = await get("/v1/costs?by=machine");
    const models = await get("/v1/costs?by=model");
    const sum = (rows: readonly { totalMinor: number }[]) => rows.reduce((all, { totalMinor }) => all + totalMinor, 0);
    expect(sum(models.rows)).toBe(machines.total.totalMinor);
    expect(sum(machines.rows)).toBe(models.total.totalMinor);
    const totals = machines.rows.map(({ totalMinor }: { totalMinor: number }) => totalMinor);
    expect(totals).toEqual(totals.toSorted((one: number, other: number) => other - one));
  });

  test("as a spreadsheet reads it: amounts in units with a point, a name that begins like a formula defused", async () => {
    await stayed(machineId, { costMinor: 42_000 });
    await stayed(machineId, {});
    const model = await get("/v1/models");
    await expectAnswer((await as("F001")).put(`/v1/models/${model.items[0].id}`).send({ ...asSent(model.items[0]), name: "=1+1" }), 200);
    const answer = await (await as("A001")).get("/v1/costs?by=machine&format=csv").expect(200);
    expect(answer.headers["content-type"]).toContain("text/csv");
    const [head = "", ...rows] = answer.text.replace("\ufeff", "").split("\r\n");
    expect(head).toContain("machine,modelName,machines,currency,parts,labour,outside,total,known,km");
    expect(rows.join("\n")).toContain("EUR,25.00,0.00,420.00,445.00,at least");
    expect(rows.filter((row) => row !== "").every((row) => row.includes("'=1+1"))).toBe(true);
  });

  test("a depot's costs are what was done there; a mechanic and a rider see none of them, and a period to come is refused", async () => {
    await repaired(machineId, known);
    const far = await get(`/v1/costs?depotId=${app.cast.farDepotId}`);
    expect(far).toMatchObject({ rows: [], total: { totalMinor: 0, machines: 0, km: null } });
    for (const who of ["M001", "R001"]) await get("/v1/costs", who, 403, "not-your-role");
    await get(`/v1/machines/${machineId}/costs`, "R001", 403, "not-your-role");
    await get(`/v1/costs?depotId=${randomUUID()}`, "F001", 404, "not-found");
    await get("/v1/costs?from=2027-01-01&to=2027-01-02", "F001", 422, "period-not-valid");
  });

  test("an invoice is refused where the firm counts in no currency, and nothing of the return is stored", async () => {
    await expectAnswer((await as("F001")).patch("/v1/policy").send({ currency: null }), 200);
    const own = await addTestMachine(app);
    const out = { id: randomUUID(), since: now(), workshop: "Harbour Street", reason: "Ignition", expectedDay: "2026-07-20" };
    await post("M001", `/v1/machines/${own}/outside-work`, out);
    tick();
    const back = { id: randomUUID(), returnedAt: now(), costMinor: 100 };
    await post("M001", `/v1/outside-work/${out.id}/return`, back, 409, "no-currency");
    await post("M001", `/v1/outside-work/${out.id}/return`, { id: back.id, returnedAt: back.returnedAt });
  });
});

/** A model as it is sent again. */
function asSent({ name, engineCc, features, handbook, revision }: Record<string, unknown>) {
  return { name, engineCc, features, handbook, revision };
}
