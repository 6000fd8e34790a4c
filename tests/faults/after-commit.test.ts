// Once an act is stored, it is answered as stored, whatever goes wrong after that.
import { randomUUID } from "node:crypto";
import type { Response } from "supertest";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { hangWaiting } from "../../src/photos/index.ts";
import { type As, expectAnswer, peopleAtHand, repairOf, reportOf } from "../support/acts.ts";
import { openTestApp, type TestApp } from "../support/app.ts";
import { openTestContext } from "../support/context.ts";
import { openTestDatabase } from "../support/database.ts";
import { testModel } from "../support/machines.ts";
import { plainPicture } from "../support/pictures.ts";
import { type Severable, severable } from "../support/severed.ts";
import { addTestMachine, checkFinding, inspectionOf, nilCheckOf } from "../support/sheets.ts";

let app: TestApp;
let as: As;
let cut: Severable;
beforeAll(async () => {
  cut = severable(await openTestDatabase());
  app = await openTestApp(await openTestContext(undefined, {}, cut.db));
  as = peopleAtHand(app);
});
afterAll(() => app.close());

/** Sends it to a database that goes away as soon as something is stored, and expects to hear that it is stored. */
// biome-ignore lint/suspicious/noExplicitAny: answers are read field by field in tests
async function storedAndSaid(call: PromiseLike<Response>, status: number): Promise<any> {
  cut.afterNext();
  const answer = await call;
  const { stored } = cut.mend();
  expect({ stored, status: answer.status, code: answer.body.code }, answer.text).toEqual({ stored: true, status, code: undefined });
  return answer.body;
}

const sendPhoto = async (who: string, id: string) =>
  (await as(who))
    .post("/v1/photos")
    .query({ id })
    .set("content-type", "image/png")
    .send(await plainPicture("png"));
const raise = async (machineId: string, observationId = "horn.silent"): Promise<string> =>
  (await expectAnswer((await as("R001")).post("/v1/defects").send(reportOf(app, machineId, observationId)), 201)).defect.id;
const hungOn = async (machineId: string): Promise<number> =>
  (
    await app.context.db.rows("SELECT id FROM ledger WHERE chain_id = $1::text::uuid AND jsonb_array_length(data->'photos') > 0", [
      machineId,
    ])
  ).length;

describe("an act on a machine is answered with its receipt though the database is gone right after it", () => {
  test("a daily check, a weekly inspection and a report that name photos; and the same again gets the same", async () => {
    const machineId = await addTestMachine(app);
    const [rider, mechanic] = [await as("R001"), await as("M001")];
    const photoIds = [randomUUID()];
    const check = checkFinding(app, machineId, "horn.weak");
    const answers = check.answers.map((one) => (one.result === "defect" ? { ...one, photoIds } : one));
    const sent = { ...check, answers };
    const receipt = await storedAndSaid(rider.post("/v1/daily-checks").send(sent), 201);
    expect(await expectAnswer(rider.post("/v1/daily-checks").send(sent), 200)).toEqual(receipt);
    const inspection = inspectionOf(app, machineId);
    const [first, ...others] = inspection.answers;
    await storedAndSaid(
      mechanic.post("/v1/weekly-inspections").send({ ...inspection, answers: [{ ...first, photoIds: [randomUUID()] }, ...others] }),
      201,
    );
    await storedAndSaid(rider.post("/v1/defects").send(reportOf(app, machineId, "fuel.drips", { photoIds: [randomUUID()] })), 201);
    await storedAndSaid(rider.post("/v1/daily-checks").send(nilCheckOf(app, machineId)), 201);
  });

  test("every step of a defect's course", async () => {
    const machineId = await addTestMachine(app);
    const untilDay = "2026-07-15";
    const weak = await raise(machineId, "horn.weak");
    const [mechanic, second, manager] = [await as("M001"), await as("M002"), await as("F001")];
    await storedAndSaid(manager.post(`/v1/defects/${weak}/deferral`).send({ id: randomUUID(), untilDay, reason: "No part" }), 201);
    await storedAndSaid(
      mechanic.post(`/v1/defects/${weak}/regrades`).send({ id: randomUUID(), category: "major", reason: "Silent when hot" }),
      201,
    );
    await storedAndSaid(mechanic.post(`/v1/defects/${weak}/repairs`).send(repairOf(app)), 201);
    await storedAndSaid(second.post(`/v1/defects/${weak}/sign-off`).send({ id: randomUUID() }), 201);
    const other = await raise(machineId);
    await storedAndSaid(mechanic.post(`/v1/defects/${other}/not-found`).send({ id: randomUUID(), reason: "Sounds as it should" }), 201);
  });

  test("a paper and its end, with an id of the client's and without", async () => {
    const machineId = await addTestMachine(app);
    const manager = await as("F001");
    const paper = { kind: "insurance", number: "1", validFrom: "2026-01-01", validTo: "2026-12-31" };
    const { id } = await storedAndSaid(manager.post(`/v1/machines/${machineId}/papers`).send(paper), 201);
    await storedAndSaid(manager.post(`/v1/machines/${machineId}/papers`).send({ ...paper, id: randomUUID() }), 201);
    await storedAndSaid(manager.post(`/v1/papers/${id}/ending`).send({ day: "2026-07-13", reason: "cancelled" }), 201);
  });

  test("what changes about the machine itself, answered as it then is", async () => {
    const machineId = await addTestMachine(app);
    const manager = await as("F001");
    const change = (body: object) => storedAndSaid(manager.patch(`/v1/machines/${machineId}`).send(body), 200);
    const model = { ...testModel(`Other ${randomUUID()}`), engineCc: 125 };
    const { id: modelId } = await expectAnswer(manager.post("/v1/models").send(model), 201);
    for (const body of [
      { odometerKm: 1200, reason: "New meter" },
      { modelId, vin: null, registrationMark: `C${randomUUID().slice(0, 6)}` },
      { depotId: app.cast.farDepotId, inServiceFrom: "2026-07-02" },
      { withdrawn: { reason: "Sold" } },
      { withdrawn: null },
    ]) {
      const answered = await change(body);
      expect(answered).toEqual(await expectAnswer(manager.get(`/v1/machines/${machineId}`), 200));
    }
  });

  test("a correction of its record", async () => {
    const machineId = await addTestMachine(app);
    const rider = await as("R001");
    const { check } = await expectAnswer(rider.post("/v1/daily-checks").send(nilCheckOf(app, machineId)), 201);
    const body = { id: randomUUID(), pointer: "/submitted/odometerKm", right: "1001", reason: "Misread" };
    const shown = await storedAndSaid(rider.post(`/v1/records/${check.id}/corrections`).send(body), 201);
    expect(shown.corrections).toHaveLength(1);
    expect(await expectAnswer(rider.post(`/v1/records/${check.id}/corrections`).send(body), 200)).toEqual(shown);
  });
});

describe("what belongs to no machine's record is answered though the database is gone right after it", () => {
  test("machines, depots and models", async () => {
    const manager = await as("F001");
    const id = randomUUID();
    const model = testModel(id);
    const { id: modelId } = await storedAndSaid(manager.post("/v1/models").send(model), 201);
    await storedAndSaid(manager.put(`/v1/models/${modelId}`).send({ ...model, engineCc: 112, revision: 1 }), 200);
    const machine = { registrationMark: `N${id.slice(0, 6)}`, modelId, odometerKm: 1, inServiceFrom: "2026-07-01" };
    const added = await storedAndSaid(manager.post("/v1/machines").send({ ...machine, depotId: app.cast.homeDepotId }), 201);
    expect(added).toEqual(await expectAnswer(manager.get(`/v1/machines/${added.id}`), 200));
    const csv = `registrationMark,vin,model,depot,odometerKm,inServiceFrom\nI${id.slice(0, 6)},,${id},Home,5,2026-07-01\n`;
    const imported = manager.post("/v1/machines/import").set("content-type", "text/csv").send(csv);
    expect(await storedAndSaid(imported, 201)).toMatchObject({ imported: 1 });
    const depot = await storedAndSaid(
      manager.post("/v1/depots").send({ name: `D ${id}`, timeZone: "Europe/London", workshopHoursPerDay: 8 }),
      201,
    );
    await storedAndSaid(manager.patch(`/v1/depots/${depot.id}`).send({ workshopHoursPerDay: 6 }), 200);
  });

  test("people, their secrets and the policy", async () => {
    const manager = await as("F001");
    const body = { staffNumber: `P${randomUUID().slice(0, 6)}`, name: "Somebody", role: "rider", allDepots: true };
    const added = await storedAndSaid(manager.post("/v1/staff").send(body), 201);
    // RecordContent this once: whoever was told of a failure instead would never learn it.
    expect(added.oneTimeCode).toEqual(expect.any(String));
    await storedAndSaid(manager.patch(`/v1/staff/${added.id}`).send({ name: "Somebody Else" }), 200);
    const reset = await storedAndSaid(manager.post(`/v1/staff/${added.id}/secret-reset`), 200);
    const signedIn = await app.anyone.post("/v1/sign-in").send({ staffNumber: body.staffNumber, secret: reset.oneTimeCode }).expect(200);
    const client = app.clientWith(signedIn.body.accessToken);
    await expectAnswer(client.get("/v1/me"), 200);
    await storedAndSaid(client.put("/v1/me/secret").send({ current: reset.oneTimeCode, secret: "quite my own one" }), 200);
    await storedAndSaid(manager.put("/v1/policy").send({ keepMonths: 20 }), 200);
  });

  test("a hold, its end, and a renewed session, whose old token is of no use any more", async () => {
    const manager = await as("F001");
    const { id } = await storedAndSaid(
      manager.post("/v1/holds").send({ id: randomUUID(), depotId: app.cast.farDepotId, reason: "An examiner asks" }),
      201,
    );
    await storedAndSaid(manager.post(`/v1/holds/${id}/lift`).send({ reason: "Settled" }), 200);
    const { refreshToken } = await app.tokensOf("R002");
    const renewed = await storedAndSaid(app.anyone.post("/v1/sign-in/renewal").send({ refreshToken }), 200);
    await expectAnswer(app.clientWith(renewed.accessToken).get("/v1/me"), 200);
  });

  test("an audit pack, which is put on record with its order or not ordered at all", async () => {
    const manager = await as("F001");
    const pack = await storedAndSaid(manager.post("/v1/audit-packs").send({ month: "2026-06" }), 202);
    const taken = await app.context.db.rows("SELECT id FROM ledger WHERE kind = 'report-taken' AND data->>'packId' = $1::text", [pack.id]);
    expect(taken).toHaveLength(1);
  });
});

describe("a photo and a record that miss each other", () => {
  test("a photo that is stored is said to be, and hangs on its record at the next round", async () => {
    const machineId = await addTestMachine(app);
    const photoId = randomUUID();
    await expectAnswer((await as("R001")).post("/v1/defects").send(reportOf(app, machineId, "horn.silent", { photoIds: [photoId] })), 201);
    await storedAndSaid(sendPhoto("R001", photoId), 201);
    expect(await hungOn(machineId)).toBe(0);
    await hangWaiting(app.context);
    await hangWaiting(app.context);
    expect(await hungOn(machineId)).toBe(1);
  });

  test("a record that is stored is said to be, and takes up its photo at the next round", async () => {
    const machineId = await addTestMachine(app);
    const photoId = randomUUID();
    const body = reportOf(app, machineId, "horn.silent", { photoIds: [photoId] });
    await storedAndSaid((await as("R001")).post("/v1/defects").send(body), 201);
    // It lies there as if it had come while the record was being written.
    await app.context.db.rows(
      `INSERT INTO photo (id, sha256, sent_sha256, type, width_px, height_px, bytes, added_by, added_at)
       VALUES ($1::text::uuid, decode(repeat('01', 32), 'hex'), decode(repeat('01', 32), 'hex'), 'image/png', 1, 1, 1, $2::text::uuid, now()) RETURNING id`,
      [photoId, app.cast.staffId("R001")],
    );
    await hangWaiting(app.context);
    expect(await hungOn(machineId)).toBe(1);
  });
});
