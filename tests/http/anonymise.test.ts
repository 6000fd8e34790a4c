// A person who has left is made anonymous: what names them goes, what they recorded stays and still verifies.
import { randomUUID } from "node:crypto";
import { beforeAll, expect, test } from "vitest";
import type { Checkpoint } from "../../shared/contracts/records.ts";
import { takeCheckpoint } from "../../src/ledger/index.ts";
import { expectAnswer } from "../support/acts.ts";
import { once } from "../support/once.ts";
import { expectAgreement, expectContinued, expectWholeChains } from "../support/proofs.ts";
import { addTestMachine, nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();
let machineId: string;
let kept: Checkpoint;
let personId: string;
const person = { staffNumber: "R777", name: "Odalys Fenwright-Quoy", role: "rider", licenceClass: "A1", secret: "a secret of some length" };

beforeAll(async () => {
  machineId = await addTestMachine(app);
  personId = (await manager("POST", "/v1/staff", { ...person, depotIds: [app.cast.homeDepotId] }, 201)).id;
  const rider = await app.settleIn(person.staffNumber, person.secret);
  await expectAnswer(rider.post("/v1/daily-checks").send(nilCheckOf(app, machineId)), 201);
  await manager("PATCH", `/v1/staff/${personId}`, { licenceClass: "A2" }, 200);
  const checkpoint = await takeCheckpoint(app.context);
  if (!checkpoint) throw new Error("the firm is founded");
  kept = checkpoint;
});

const manager = async (method: "POST" | "PATCH", path: string, body: object, status: number, code?: string, who = "F001") => {
  const client = await as(who);
  return expectAnswer((method === "POST" ? client.post(path) : client.patch(path)).send(body), status, code);
};
const anonymise = (
  status: number,
  code?: string,
  { id = personId, who = "F001", body = { reason: "Asked for in a letter" } as object } = {},
) => manager("POST", `/v1/staff/${id}/anonymise`, body, status, code, who);

/** In how many rows of these tables the text stands. */
async function standsIn(text: string): Promise<number> {
  const tables = ["ledger", "staff", "session", "machine", "machine_state_history", "daily_check", "defect"];
  const counts = tables.map((table) => `(SELECT count(*) FROM ${table} t WHERE t::text LIKE $1::text)::int`);
  const [row] = await app.context.db.rows<{ n: number }>(`SELECT ${counts.join(" + ")} AS n`, [`%${text}%`]);
  return row?.n ?? -1;
}

test("is refused for somebody who is here, for nobody, without a reason, and to whoever may not", async () => {
  await anonymise(409, "still-here", { id: app.cast.staffId("R001") });
  await anonymise(404, "not-found", { id: randomUUID() });
  await anonymise(422, "not-valid", { body: {} });
  await anonymise(403, "not-your-role", { who: "A001" });
  await anonymise(403, "other-depot", { who: "F101" });
});

test("is refused while a hold covers what the person recorded: the examiner asks who it was", async () => {
  const another = { ...person, staffNumber: "R779", name: "Ilvane Morrowick" };
  const { id } = await manager("POST", "/v1/staff", { ...another, depotIds: [app.cast.homeDepotId] }, 201);
  const rider = await app.settleIn(another.staffNumber, another.secret);
  await expectAnswer(rider.post("/v1/daily-checks").send(nilCheckOf(app, machineId)), 201);
  await manager("PATCH", `/v1/staff/${id}`, { left: true }, 200);
  for (const held of [{ machineId }, { depotId: app.cast.homeDepotId }, {}]) {
    const hold = { id: randomUUID(), reason: "An examiner asks", ...held };
    await manager("POST", "/v1/holds", hold, 201);
    await anonymise(409, "under-hold", { id });
    await manager("POST", `/v1/holds/${hold.id}/lift`, { reason: "Settled" }, 200);
  }
  // Another depot's hold does not touch them.
  await manager("POST", "/v1/holds", { id: randomUUID(), reason: "Another matter", depotId: app.cast.farDepotId }, 201);
  await anonymise(200, undefined, { id });
  expect(await standsIn(another.name)).toBe(0);
});

/** The person leaves and is made anonymous, once, whichever test asks first; what the service answered. */
const leaving = once(async () => {
  await manager("PATCH", `/v1/staff/${personId}`, { left: true }, 200);
  return anonymise(200);
});

test("takes name, number, licence, secret and sessions, and what the firm's records say of the person", async () => {
  const neutral = await leaving();
  expect(neutral).toMatchObject({ id: personId, name: `Former person ${personId.slice(-6)}`, licenceClass: null, role: "rider" });
  expect(neutral.staffNumber).toMatch(/^FORMER-[0-9A-F]{12}$/);
  expect([await standsIn(person.name), await standsIn(person.staffNumber)]).toEqual([0, 0]);
  const [sessions] = await app.context.db.rows<{ n: number }>("SELECT count(*)::int AS n FROM session WHERE staff_id = $1::text::uuid", [
    personId,
  ]);
  expect(sessions?.n).toBe(0);
  const gone = await app.context.db.rows<{ kind: string; by: string }>(
    `SELECT l.kind, b.kind AS by FROM ledger l JOIN ledger b ON b.id = l.forgotten_by
     WHERE b.data->>'personId' = $1::text ORDER BY l.position`,
    [personId],
  );
  expect(gone).toEqual(["person-added", "person-amended", "person-left"].map((kind) => ({ kind, by: "person-forgotten" })));
  for (const staffNumber of [person.staffNumber, neutral.staffNumber]) {
    await expectAnswer(app.anyone.post("/v1/sign-in").send({ staffNumber, secret: person.secret }), 401, "wrong-credentials");
  }
});

test("leaves the machine's records as they were, under the neutral name", async () => {
  await leaving();
  const { items } = await expectAnswer((await as("M001")).get(`/v1/machines/${machineId}/history`), 200);
  const check = items.find(({ kind, staffId }: { kind: string; staffId: string }) => kind === "daily-check" && staffId === personId);
  expect(check).toMatchObject({ staffId: personId, staffName: `Former person ${personId.slice(-6)}`, data: expect.anything() });
  await expectAnswer((await as("A001")).get(`/v1/daily-checks/${check.id}`), 200);
  for (const path of [
    `/v1/machines/${machineId}/roadworthiness.pdf`,
    "/v1/records?month=2026-07",
    "/v1/records?month=2026-07&format=csv",
  ]) {
    const answer = await (await as("A001")).get(path).buffer(true);
    expect([path, answer.status]).toEqual([path, 200]);
    expect(String(answer.text ?? "")).not.toContain(person.name);
  }
  const left = await expectAnswer((await as("F001")).get("/v1/staff?state=left"), 200);
  expect(left.items.map(({ id }: { id: string }) => id)).toContain(personId);
  await expectWholeChains(app.context);
  await expectContinued(app.context, as, kept);
  await expectAgreement(app.context);
});

test("asked for again it is as it is, without another record; the person is not amended any more", async () => {
  await leaving();
  const [before] = await app.context.db.rows<{ n: number }>("SELECT record_count AS n FROM firm");
  const again = await anonymise(200);
  expect(again.name).toMatch(/^Former person/);
  expect(await app.context.db.rows("SELECT record_count AS n FROM firm")).toEqual([before]);
  await manager("PATCH", `/v1/staff/${personId}`, { name: person.name }, 409, "already-left");
});

test("is not undone by a number taken beforehand: it is refused, and nothing is half done", async () => {
  const named = { ...person, name: "Teodric Hallowmere" };
  const other = await manager("POST", "/v1/staff", { ...named, staffNumber: "R778", depotIds: [app.cast.homeDepotId] }, 201);
  const staffNumber = `FORMER-${other.id.slice(-12).toUpperCase()}`;
  await manager("POST", "/v1/staff", { ...named, staffNumber, depotIds: [app.cast.homeDepotId] }, 201);
  await manager("PATCH", `/v1/staff/${other.id}`, { left: true }, 200);
  await anonymise(409, "staff-number-taken", { id: other.id });
  const [row] = await app.context.db.rows<{ name: string }>("SELECT name FROM staff WHERE id = $1::text::uuid", [other.id]);
  expect(row?.name).toBe(named.name);
});
