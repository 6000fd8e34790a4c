// Several hats: a person may do what each of their roles may do, and the second person is still another person.
import { randomUUID } from "node:crypto";
import { describe, expect, test } from "vitest";
import { expectAnswer } from "../support/acts.ts";
import { codeOf, secretOf } from "../support/cast.ts";
import { addTestMachine, checkFinding, inspectionOf, nilCheckOf } from "../support/sheets.ts";
import { chainOf } from "../support/small-fleet.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();

const tick = (minutes = 1) => app.context.clock.advance(minutes * 60_000);
const now = () => app.context.clock.now().toISOString();
const post = async (who: string, path: string, body: object, status = 201, code?: string) =>
  expectAnswer((await as(who)).post(path).send(body), status, code);
const get = async (who: string, path: string, status = 200, code?: string) => expectAnswer((await as(who)).get(path), status, code);
const amend = async (id: string, body: object, status = 200, code?: string) =>
  expectAnswer((await as("F001")).patch(`/v1/staff/${id}`).send(body), status, code);

let count = 0;
/** Somebody with these roles who has chosen a secret of their own. */
async function personWith(roles: readonly string[], more: object = {}) {
  count += 1;
  const staffNumber = `H${String(count).padStart(3, "0")}`;
  const where = { depotIds: [app.cast.homeDepotId] };
  const person = await post("F001", "/v1/staff", {
    staffNumber,
    name: `Person ${staffNumber}`,
    roles,
    secret: codeOf(staffNumber),
    ...where,
    ...more,
  });
  const first = app.anyone.post("/v1/sign-in").send({ staffNumber, secret: codeOf(staffNumber) });
  const { accessToken } = await expectAnswer(first, 200);
  const change = app.anyone.put("/v1/me/secret").set("authorization", `Bearer ${accessToken}`);
  await expectAnswer(change.send({ current: codeOf(staffNumber), secret: secretOf(staffNumber) }), 200);
  return { staffNumber, id: person.id as string };
}

describe("somebody who manages, repairs and rides", () => {
  test("is answered with all roles and the first of them, and may do what each of them may", async () => {
    const { staffNumber, id } = await personWith(["manager", "mechanic", "rider"], { competences: ["inspection", "brakes"] });
    const me = await get(staffNumber, "/v1/me");
    expect(me).toMatchObject({ role: "manager", roles: ["manager", "mechanic", "rider"], competences: ["brakes", "inspection"] });
    expect(me.person).toMatchObject({ role: "manager", roles: ["manager", "mechanic", "rider"] });
    const machineId = await addTestMachine(app);
    tick();
    await post(staffNumber, "/v1/weekly-inspections", inspectionOf(app, machineId));
    tick();
    expect((await post(staffNumber, "/v1/daily-checks", nilCheckOf(app, machineId))).clearance.decision).toBe("ride");
    await expectAnswer((await as(staffNumber)).patch(`/v1/machines/${machineId}`).send({ inServiceFrom: "2026-06-01" }), 200);
    const listed = (await get("F001", "/v1/staff?role=mechanic&limit=200")).items;
    expect(listed.map((one: { id: string }) => one.id)).toContain(id);
  });

  test("is not kept to their own checks as one who only rides is, and is given a machine as a rider is", async () => {
    const { staffNumber, id } = await personWith(["rider", "manager"], { licenceClass: "A1" });
    const machineId = await addTestMachine(app);
    tick();
    const check = await post("R001", "/v1/daily-checks", nilCheckOf(app, machineId));
    expect((await get(staffNumber, `/v1/daily-checks/${check.check.id}`)).check.id).toBe(check.check.id);
    await get("R002", `/v1/daily-checks/${check.check.id}`, 404, "not-found");
    const spare = await addTestMachine(app);
    const body = { depotId: app.cast.homeDepotId, day: now().slice(0, 10), riders: [{ staffId: id }] };
    const { allocations, unserved } = await post("F001", "/v1/readiness/allocation", body, 200);
    expect([allocations.length, unserved.length, spare.length > 0]).toEqual([1, 0, true]);
  });

  test("is still one person: who repaired a brake does not sign it off, and somebody else does", async () => {
    const { staffNumber } = await personWith(["manager", "mechanic"], { competences: ["brakes"] });
    const machineId = await addTestMachine(app);
    const { defects } = await post("R001", "/v1/daily-checks", checkFinding(app, machineId, "front-brake-cable.frayed"));
    const path = `/v1/defects/${defects[0].id}`;
    const parts = [{ name: "Brake cable", quantity: 1 }];
    tick();
    await post(staffNumber, `${path}/repairs`, { id: randomUUID(), performedAt: now(), workDone: "New cable", parts });
    const { quantity } = await get(staffNumber, path);
    const body = () => ({ id: randomUUID(), ...(quantity === null ? {} : { reading: { quantity, value: 25, unit: "mm" } }) });
    await post(staffNumber, `${path}/sign-off`, body(), 403, "second-person-needed");
    const other = await personWith(["rider", "mechanic"], { competences: ["brakes"] });
    expect((await post(other.staffNumber, `${path}/sign-off`, body())).defect.status).toBe("signed-off");
  });
});

describe("roles in a body", () => {
  test("are one by its name, or several, each once, the one being the first of them", async () => {
    const where = { staffNumber: "H900", name: "Nobody", depotIds: [app.cast.homeDepotId] };
    await post("F001", "/v1/staff", where, 422, "not-valid");
    await post("F001", "/v1/staff", { ...where, roles: [] }, 422, "not-valid");
    await post("F001", "/v1/staff", { ...where, roles: ["rider", "rider"] }, 422, "not-valid");
    await post("F001", "/v1/staff", { ...where, role: "manager", roles: ["rider", "manager"] }, 422, "not-valid");
    await post("F001", "/v1/staff", { ...where, roles: ["rider", "manager"], competences: ["brakes"] }, 422, "not-valid");
    expect(await post("F001", "/v1/staff", { ...where, role: "rider", roles: ["rider", "manager"] })).toMatchObject({
      ...{ role: "rider", roles: ["rider", "manager"] },
    });
  });

  test("change with the next call, in whatever session, and are recorded", async () => {
    const { staffNumber, id } = await personWith(["rider"]);
    await get(staffNumber, "/v1/readiness", 403, "not-your-role");
    expect(await amend(id, { roles: ["rider", "mechanic"], competences: ["general"] })).toMatchObject({ roles: ["rider", "mechanic"] });
    await get(staffNumber, "/v1/readiness");
    // Sent back as it was read by who knows one role alone, it changes nothing.
    expect(await amend(id, { role: "rider", name: "Somebody" })).toMatchObject({ roles: ["rider", "mechanic"] });
    // The competences of a mechanic go with the role.
    expect(await amend(id, { roles: ["rider"] })).toMatchObject({ role: "rider", roles: ["rider"], competences: [] });
    await get(staffNumber, "/v1/readiness", 403, "not-your-role");
    const [firm] = await app.context.db.rows<{ id: string }>("SELECT id FROM firm");
    const told = (await chainOf(app.context.db, firm?.id ?? "")).filter(({ data }) => (data as { personId?: string }).personId === id);
    expect(told.slice(-3)).toMatchObject([
      { kind: "person-amended", data: { role: "rider", roles: ["rider", "mechanic"], changed: ["roles", "competences"] } },
      { kind: "person-amended", data: { roles: ["rider", "mechanic"], changed: ["name"] } },
      { kind: "person-amended", data: { role: "rider", changed: ["roles", "competences"] } },
    ]);
  });

  test("the last manager of all depots stays one, whatever else they become", async () => {
    const id = app.cast.staffId("F001");
    expect(await amend(id, { roles: ["rider", "manager"] })).toMatchObject({ role: "rider", roles: ["rider", "manager"] });
    await amend(id, { roles: ["rider"] }, 409, "last-manager");
    // Another role than the first: that one alone.
    expect(await amend(id, { role: "manager" })).toMatchObject({ role: "manager", roles: ["manager"] });
  });

  test("code that knows one role alone leaves no others behind where it gives another", async () => {
    const { staffNumber, id } = await personWith(["manager", "mechanic"]);
    await app.context.db.rows("UPDATE staff SET role = 'rider' WHERE id = $1::text::uuid", [id]);
    const found = (await get("F001", "/v1/staff?limit=200")).items.find((one: { id: string }) => one.id === id);
    expect([found.staffNumber, found.role, found.roles]).toEqual([staffNumber, "rider", ["rider"]]);
  });
});
