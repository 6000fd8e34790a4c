// What lies on a depot's shelf: counted or come, less what the repairs there name.
import { randomUUID } from "node:crypto";
import { beforeAll, describe, expect, test } from "vitest";
import type { Stock } from "../../shared/contracts/parts.ts";
import { expectAnswer, repairOf, reportOf } from "../support/acts.ts";
import { addTestMachine } from "../support/sheets.ts";
import { chainOf } from "../support/small-fleet.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();

const number = "47 11-08";
const path = `/v1/parts/${encodeURIComponent(number)}/stock`;
const bodyOf = (changes: object = {}) => ({
  ...{ id: randomUUID(), depotId: app.cast.homeDepotId, how: "counted", quantity: 10, at: app.context.clock.now().toISOString() },
  ...changes,
});
const post = async (who: string, changes: object = {}, status = 201, code?: string, to = path) =>
  expectAnswer((await as(who)).post(to).send(bodyOf(changes)), status, code);
const stock = async (depotId = app.cast.homeDepotId, who = "M001"): Promise<Stock | null> =>
  (await expectAnswer((await as(who)).get("/v1/parts").query({ search: "4711-08", depotId }), 200)).items[0].stock;
/** Fits so many in a repair at a machine of a depot, a minute later. */
async function fitPart(quantity: number, { depotId = app.cast.homeDepotId, name = "4711-08" } = {}): Promise<void> {
  app.context.clock.advance(60_000);
  const machineId = await addTestMachine(app, { depotId });
  const { defect } = await expectAnswer((await as("F001")).post("/v1/defects").send(reportOf(app, machineId, "horn.weak")), 201);
  const repair = repairOf(app, { parts: [{ name: "Brake cable", number: name, quantity }] });
  await expectAnswer((await as("M001")).post(`/v1/defects/${defect.id}/repairs`).send(repair), 201);
}

beforeAll(async () => {
  await expectAnswer((await as("F001")).put(`/v1/parts/${encodeURIComponent(number)}`).send({ name: "Brake cable front" }), 200);
});

describe("what lies on a shelf", () => {
  test("is not known before it was counted; then it is the count, what came, less what repairs of that depot name", async () => {
    await fitPart(2);
    expect(await stock()).toBeNull();
    const { items } = await expectAnswer((await as("M001")).get("/v1/parts"), 200);
    expect(items[0]).not.toHaveProperty("stock");

    app.context.clock.advance(60_000);
    expect((await post("M001")).stock).toMatchObject({ counted: { quantity: 10 }, received: 0, fitted: 0, onHand: 10 });
    await fitPart(1.5);
    await fitPart(1, { name: "4711 - 08" });
    await fitPart(4, { depotId: app.cast.farDepotId });
    await fitPart(1, { name: "4712-08" });
    await post("F001", { how: "received", quantity: 5 });
    expect(await stock()).toMatchObject({ received: 5, fitted: 2.5, onHand: 12.5 });
    expect(await stock(app.cast.farDepotId)).toBeNull();

    app.context.clock.advance(60_000);
    await post("M001", { quantity: 1 });
    await fitPart(3);
    expect(await stock()).toMatchObject({ counted: { quantity: 1 }, received: 0, fitted: 3, onHand: -2 });
  });

  test("is a record in the firm's chain, once however often it is sent; a clock that is ahead counts as now", async () => {
    const body = bodyOf({ at: "2031-01-01T00:00:00.000Z", quantity: 6 });
    const first = await expectAnswer((await as("M001")).post(path).send(body), 201);
    expect(first.stock).toMatchObject({ counted: { quantity: 6, at: app.context.clock.now().toISOString() }, onHand: 6 });
    expect(await expectAnswer((await as("M001")).post(path).send(body), 200)).toEqual(first);
    await expectAnswer((await as("M001")).post(path).send({ ...body, quantity: 7 }), 422, "id-reused");
    await expectAnswer((await as("M002")).post(path).send(body), 422, "id-reused");
    const kept = (await chainOf(app.context.db, null)).filter(({ kind }) => kind === "stock-recorded").at(-1);
    expect(kept).toMatchObject({ staffId: app.cast.staffId("M001"), data: { number, name: "Brake cable front", submitted: body } });
  });

  test("is refused of a part that is not in the list, at no depot or another's, for nothing that came, and to who does not work there", async () => {
    await post("M001", {}, 404, "not-found", "/v1/parts/NONE/stock");
    await post("F001", { depotId: randomUUID() }, 422, "not-valid");
    await post("F101", {}, 403, "other-depot");
    for (const changes of [{ quantity: -1 }, { how: "received", quantity: 0 }, { how: "guessed" }, { quantity: 100_001 }])
      await post("M001", changes, 422, "not-valid");
    for (const who of ["R001", "A001"]) await post(who, {}, 403, "not-your-role");
    await expectAnswer((await as("F101")).get("/v1/parts").query({ depotId: app.cast.homeDepotId }), 403, "other-depot");
  });
});
